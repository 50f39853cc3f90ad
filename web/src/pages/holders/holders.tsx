/** The holder list, searched as one types; its editions, and what is proposed for the next. */
import type { ComponentChildren } from "preact";
import { useEffect, useState } from "preact/hooks";
import { get, NotHere, Refused } from "../../api";
import { dash, lookedUpBy } from "../../holders/mapping";
import { route } from "../../route";
import type { Edition, Entries, Entry, ListInForce, Proposal } from "../../types";
import { Frame, Problem } from "../../ui/common";
import { useGet } from "../../ui/load";
import { Inks } from "../../ui/sentence";
import { LookUp } from "../../ui/unit/lookup";
import { day, named, t } from "../../words";
import { inARow } from "../../words/lists";
import { setApart } from "../../words/set-apart";
import { ImportPage } from "./import";
import { ProposalPage } from "./proposal";

function EntrySheet({ entry }: { entry: Entry }) {
  const labels = entry.private_labels.map(({ name, models }) =>
    models.length === 0 ? name : `${setApart(name)}: ${inARow(models)}`,
  );
  const inks = (of: string[]) => (of.length === 0 ? dash("") : <Inks of={of} />);
  const rows: [string, ComponentChildren][] = [
    [t("holders.entry.class"), inks(entry.filter_classes)],
    [t("holders.entry.models"), inks(entry.models)],
    ...(labels.length > 0 ? ([[t("holders.entry.labels"), inARow(labels, ";")]] as [string, string][]) : []),
    [
      t("holders.entry.checked"),
      inARow([entry.checked_on === null ? "–" : day(entry.checked_on), dash(entry.checked_by)]),
    ],
  ];
  return (
    <li class="sheet">
      <h3>
        <Inks of={lookedUpBy(entry)} />
      </h3>
      <p>
        <b>{entry.holder}</b> <span class="tag">{named("entry", entry.status)}</span>
      </p>
      <dl class="versus">
        {rows.map(([name, value]) => (
          <>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </>
        ))}
      </dl>
      <p class="small soft">{entry.source}</p>
    </li>
  );
}

function Search() {
  const [q, setQ] = useState("");
  const [found, setFound] = useState<Entries | null>(null);
  const [problem, setProblem] = useState<unknown>(null);
  useEffect(() => {
    let here = true;
    const timer = setTimeout(() => {
      get<Entries>(`/holders/entries?limit=30&q=${encodeURIComponent(q)}`).then(
        ({ answer }) => {
          if (!here) return;
          setFound(answer);
          setProblem(null);
        },
        (failure: unknown) => {
          if (!(failure instanceof NotHere || failure instanceof Refused)) throw failure;
          if (here) setProblem(failure);
        },
      );
    }, 120);
    return () => {
      here = false;
      clearTimeout(timer);
    };
  }, [q]);
  return (
    <section class="stack" aria-labelledby="entries">
      <h2 id="entries">{t("holders.entries")}</h2>
      <label class="field">
        {t("holders.search")}
        <input
          type="search"
          autocomplete="off"
          spellcheck={false}
          value={q}
          onInput={(event) => setQ(event.currentTarget.value)}
        />
      </label>
      {problem !== null && <Problem of={problem} />}
      {found !== null && (
        <>
          <p role="status">{found.total === 0 ? t("holders.none") : t("holders.found", { n: found.total })}</p>
          <ul class="stack">
            {found.entries.map((entry, place) => (
              <EntrySheet key={place} entry={entry} />
            ))}
          </ul>
        </>
      )}
    </section>
  );
}

function Editions() {
  const { got } = useGet<Edition[]>("/holders/editions");
  const editions = got?.answer ?? [];
  if (editions.length === 0) return null;
  return (
    <details>
      <summary>{t("holders.editions", { n: editions.length })}</summary>
      <ul class="rows">
        {editions.map((one) => (
          <li key={one.edition} class="stack tight">
            <p>
              <b>{t("holders.edition", { n: one.edition })}</b> · {one.name} · {t("holders.found", { n: one.entries })}
            </p>
            <p class="small soft">
              {t("holders.edition.by", {
                proposed: one.proposed_by,
                accepted: one.accepted_by,
                when: day(one.accepted_at),
              })}
            </p>
            <div class="pair">
              {["csv", "xlsx", "json"].map((format) => (
                <a
                  key={format}
                  class="button small"
                  href={`/api/holders/editions/${one.edition}/export?format=${format}`}
                  download
                >
                  {format.toUpperCase()}
                </a>
              ))}
            </div>
          </li>
        ))}
      </ul>
    </details>
  );
}

function Waiting() {
  const { got } = useGet<Proposal[]>("/holders/proposals");
  const proposals = got?.answer ?? [];
  if (proposals.length === 0) return null;
  return (
    <section class="stack" aria-labelledby="proposed">
      <h2 id="proposed">{t("holders.proposed")}</h2>
      <ul class="sheet rows">
        {proposals.map((one) => (
          <li key={one.proposal_id}>
            <a class="button wide" href={`#/holders/proposal/${one.proposal_id}`}>
              {t("holders.proposal.by", { name: one.name, n: one.entries, who: one.by.name })}
            </a>
          </li>
        ))}
      </ul>
    </section>
  );
}

function ListPage() {
  const { got, problem, again } = useGet<ListInForce | null>("/holders");
  const info = got?.answer ?? null;
  return (
    <Frame title={t("holders.title")}>
      <h1>{t("holders.title")}</h1>
      {problem !== null && <Problem of={problem} again={again} />}
      {info !== null && (
        <p>
          {t("list.which", {
            name: info.name,
            edition: info.edition ?? "–",
            checked: info.checked_on === null ? "–" : day(info.checked_on),
            days: info.age_days ?? "–",
          })}
          {info.too_old && ` ${t("list.old")}`}
          {info.fictional && (
            <>
              {" "}
              <span class="tag">{t("fictional")}</span> {t("fictional.why")}
            </>
          )}
        </p>
      )}
      {got !== null && info === null && <p class="sheet">{t("list.none")}</p>}
      <div class="pair">
        <a class="button" href="#/holders/import">
          {t("import.title")}
        </a>
        <a class="button" href="#/holders/look-ups">
          {t("lookup.title")}
        </a>
      </div>
      <Waiting />
      {info !== null && <Search />}
      <Editions />
    </Frame>
  );
}

function LookUpsPage() {
  return (
    <Frame title={t("lookup.title")}>
      <h1>{t("lookup.all")}</h1>
      <LookUp about={{}} />
      <a class="button" href="#/holders">
        {t("holders.title")}
      </a>
    </Frame>
  );
}

export function HoldersPage() {
  const { id, sub } = route.value;
  if (id === "import") return <ImportPage />;
  if (id === "proposal") return <ProposalPage key={sub} id={sub} />;
  if (id === "look-ups") return <LookUpsPage />;
  return <ListPage />;
}
