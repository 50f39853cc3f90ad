/** The holder list, searched as one types. */
import { useEffect, useState } from "preact/hooks";
import { get, NotHere, Refused } from "../api";
import { Frame, Problem } from "../ui/common";
import { useGet } from "../ui/load";
import { day, named, t } from "../words";

interface Entry {
  scheme: string;
  approval_number: string;
  certificate_number: string;
  holder: string;
  private_labels: unknown[];
  filter_class: string;
  models: string[];
  status: string;
  source: string;
  checked_on: string | null;
  checked_by: string;
}
interface ListInForce {
  name: string;
  edition: number | null;
  checked_on: string | null;
  age_days: number | null;
  too_old: boolean;
  entries: number;
  fictional: boolean;
}

const words = (value: unknown): string =>
  Array.isArray(value) ? value.map(words).filter(Boolean).join(", ") : typeof value === "object" && value !== null ? Object.values(value).map(words).filter(Boolean).join(": ") : String(value ?? "");

export function HoldersPage() {
  const list = useGet<ListInForce | null>("/holders");
  const [q, setQ] = useState("");
  const [found, setFound] = useState<{ entries: Entry[]; total: number } | null>(null);
  const [problem, setProblem] = useState<unknown>(null);
  useEffect(() => {
    let here = true;
    const timer = setTimeout(() => {
      get<{ entries: Entry[]; total: number }>(`/holders/entries?limit=30&q=${encodeURIComponent(q)}`).then(
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
  const info = list.got?.answer ?? null;
  return (
    <Frame title={t("holders.title")}>
      <h1>{t("holders.title")}</h1>
      {info !== null && (
        <p>
          {t("list.which", { name: info.name, edition: info.edition ?? "–", checked: info.checked_on === null ? "–" : day(info.checked_on), days: info.age_days ?? "–" })}
          {info.too_old && ` ${t("list.old")}`}
          {info.fictional && (
            <>
              {" "}
              <span class="tag">{t("fictional")}</span> {t("fictional.why")}
            </>
          )}
        </p>
      )}
      <label class="field">
        {t("holders.search")}
        <input type="search" autocomplete="off" spellcheck={false} value={q} onInput={(event) => setQ(event.currentTarget.value)} />
      </label>
      {problem !== null && <Problem of={problem} />}
      {found !== null && (
        <>
          <p role="status">{found.total === 0 ? t("holders.none") : t("holders.found", { n: found.total })}</p>
          <ul class="stack">
            {found.entries.map((entry, place) => (
              <li class="sheet" key={place}>
                <h2 class="ink">{entry.approval_number || entry.certificate_number || words(entry.models)}</h2>
                <p>
                  <b>{entry.holder}</b> <span class="tag">{named("entry", entry.status)}</span>
                </p>
                <dl class="versus">
                  <dt>{t("holders.entry.class")}</dt>
                  <dd class="ink">{words(entry.filter_class) || "–"}</dd>
                  <dt>{t("holders.entry.models")}</dt>
                  <dd class="ink">{words(entry.models) || "–"}</dd>
                  {entry.private_labels.length > 0 && (
                    <>
                      <dt>{t("holders.entry.labels")}</dt>
                      <dd>{words(entry.private_labels)}</dd>
                    </>
                  )}
                  <dt>{t("holders.entry.checked")}</dt>
                  <dd>
                    {entry.checked_on === null ? "–" : day(entry.checked_on)}, {entry.checked_by || "–"}
                  </dd>
                </dl>
                <p class="small soft">{entry.source}</p>
              </li>
            ))}
          </ul>
        </>
      )}
    </Frame>
  );
}
