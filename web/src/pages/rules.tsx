/** The rules that are in force, with their sources. */
import { useState } from "preact/hooks";
import { Frame, Problem } from "../ui/common";
import { useGet } from "../ui/load";
import { Shape } from "../ui/shapes";
import { named, t } from "../words";

interface Rule {
  id: string;
  severity: string;
  says: string;
  source: string;
}
interface Scheme {
  scheme: string;
  title: string;
  authority: string;
  rules: Rule[];
}

export function RulesPage() {
  const { got, problem, again } = useGet<{ edition: string; schemes: Scheme[] }>("/rules");
  const [q, setQ] = useState("");
  const wanted = q.trim().toLowerCase();
  const fits = (rule: Rule) => wanted === "" || `${rule.id} ${rule.says} ${rule.source}`.toLowerCase().includes(wanted);
  const schemes = (got?.answer.schemes ?? []).map((scheme) => ({ ...scheme, rules: scheme.rules.filter(fits) })).filter((scheme) => scheme.rules.length > 0);
  return (
    <Frame title={t("rules.title")}>
      <h1>{t("rules.title")}</h1>
      <p>{t("rules.what")}</p>
      {problem !== null && <Problem of={problem} again={again} />}
      <label class="field">
        {t("rules.search")}
        <input type="search" value={q} onInput={(event) => setQ(event.currentTarget.value)} />
      </label>
      {got !== null && schemes.length === 0 && <p class="sheet">{t("rules.none")}</p>}
      {schemes.map((scheme) => (
        <details key={scheme.scheme} class="sheet" open={wanted !== ""}>
          <summary>
            <span>
              <b>{scheme.title}</b> · {t("rules.count", { n: scheme.rules.length })}
            </span>
          </summary>
          <p class="small soft">{scheme.authority}</p>
          <ul class="rows">
            {scheme.rules.map((rule) => (
              <li key={rule.id} class="slip">
                <Shape of={rule.severity} label={named("kind", rule.severity)} />
                <div>
                  <p>{rule.says || rule.id}</p>
                  <p class="small soft">{rule.source}</p>
                  <p class="small soft ink">{rule.id}</p>
                </div>
              </li>
            ))}
          </ul>
        </details>
      ))}
    </Frame>
  );
}
