/** The rules that judge, scheme by scheme, with their sources. */
import { useState } from "preact/hooks";
import { language } from "../settings";
import type { Rule, RuleBook, Scheme } from "../types";
import { Frame, Problem } from "../ui/common";
import { useGet } from "../ui/load";
import { Shape } from "../ui/shapes";
import { day, named, t } from "../words";

function Rules({ rules }: { rules: Rule[] }) {
  const [q, setQ] = useState("");
  const wanted = q.trim().toLowerCase();
  const found = rules.filter(
    (rule) => wanted === "" || `${rule.rule} ${rule.says} ${rule.source}`.toLowerCase().includes(wanted),
  );
  return (
    <>
      {rules.length > 6 && (
        <label class="field">
          {t("rules.search")}
          <input type="search" value={q} onInput={(event) => setQ(event.currentTarget.value)} />
        </label>
      )}
      {found.length === 0 && <p>{t("rules.none")}</p>}
      <ul class="rows">
        {found.map((rule) => (
          <li key={rule.rule} class="slip">
            <Shape of={rule.severity} label={named("kind", rule.severity)} />
            <div>
              <p lang={rule.says_in || "en"}>{rule.says || rule.rule}</p>
              <p class="small soft" lang="en">
                {rule.source}
              </p>
              <p class="small soft ink">{rule.rule}</p>
            </div>
          </li>
        ))}
      </ul>
    </>
  );
}

/** Which papers a buyer asks for: as the law names them, of whom, and what must say what is printed. */
function Wanted({ papers }: { papers: Scheme["papers"] }) {
  return (
    <>
      <h3>{t("rules.papers")}</h3>
      <ul class="rows">
        {papers.map((one) => (
          <li key={one.paper}>
            <p>{one.says}</p>
            <p class="small">
              {named("rules.papers.by", one.issued_by)}
              {one.agrees.length > 0 &&
                `. ${t("rules.papers.agrees", { fields: one.agrees.map((name) => named("paper_field", name)).join(", ") })}`}
            </p>
            <p class="small soft" lang="en">
              {one.titles.join("; ")}
              <br />
              {one.source}
            </p>
          </li>
        ))}
      </ul>
    </>
  );
}

function Opened({ path }: { path: string }) {
  const { got, problem, again } = useGet<Partial<Scheme> & { rules: Rule[] }>(path);
  if (problem !== null) return <Problem of={problem} again={again} />;
  if (got === null) return <p role="status" class="waits" />;
  const scheme = got.answer;
  return (
    <div class="stack">
      {scheme.authority !== undefined && (
        <p class="small soft" lang="en">
          {scheme.authority}
        </p>
      )}
      {(scheme.as_of ?? null) !== null && <p class="small soft">{t("rules.as_of", { day: day(scheme.as_of!) })}</p>}
      {(scheme.classes ?? []).map((one) => (
        <p key={one.name} lang={one.says_in}>
          <b class="ink">{one.name}</b> · {t("class.for", { what: one.good_for })}{" "}
          <span class="soft">{t("class.for.not", { what: one.not_for })}</span>
        </p>
      ))}
      {(scheme.papers ?? []).length > 0 && <Wanted papers={scheme.papers ?? []} />}
      <Rules rules={scheme.rules} />
    </div>
  );
}

function Fold({ title, under, path }: { title: string; under: string; path: string }) {
  const [open, setOpen] = useState(false);
  return (
    <details class="sheet" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>
        <span lang="en">
          <b>{title}</b>
          <br />
          <span class="small">{under}</span>
        </span>
      </summary>
      {open && <Opened path={path} />}
    </details>
  );
}

export function RulesPage() {
  const { got, problem, again } = useGet<RuleBook>("/rules");
  const spoken = language.value || "en";
  return (
    <Frame title={t("rules.title")}>
      <h1>{t("rules.title")}</h1>
      <p>{t("rules.what")}</p>
      {problem !== null && <Problem of={problem} again={again} />}
      {got !== null && (
        <>
          <p class="small soft">
            {t("about.rules")}: <span class="ink">{got.answer.edition}</span>.{" "}
            <span lang="en">{got.answer.languages[spoken] ?? got.answer.languages["en"]}</span>
          </p>
          <Fold title={t("rules.across")} under="" path="/rules/across" />
          {got.answer.schemes.map((row) => (
            <Fold
              key={row.scheme}
              title={row.title}
              under={`${row.jurisdiction} · ${t("rules.count", { n: row.rules })}`}
              path={`/rules/${row.scheme}`}
            />
          ))}
        </>
      )}
    </Frame>
  );
}
