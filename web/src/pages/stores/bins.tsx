/** Many groups of the same thing, into bins in a row: bin, count, photo, next. */
import { useEffect, useState } from "preact/hooks";
import { newId } from "../../ids";
import { go } from "../../route";
import { type BinEntry, binEntries, person, sorting } from "../../settings";
import { Count, Frame, PersonSheet, undo } from "../../ui/common";
import { BinShape, Shape } from "../../ui/shapes";
import { moment, named, t } from "../../words";
import { PictureKey } from "./picture-key";
import { Session } from "./session";
import { handed, Join, Kept, sendPut, sendTakenBack, startAnew } from "./sorting";

export const bins = [
  "sealed",
  "opened",
  "loose",
  "medical",
  "ear_loop",
  "child",
  "no_print",
  "not_sure",
  "discard",
] as const;
export type Bin = (typeof bins)[number];

function totals(entries: readonly BinEntry[]): Record<string, number> {
  const out: Record<string, number> = {};
  for (const entry of entries) out[entry.bin] = (out[entry.bin] ?? 0) + entry.count;
  return out;
}

export function BinsPage() {
  const [bin, setBin] = useState<Bin | "">("");
  const [count, setCount] = useState(1);
  const [asking, setAsking] = useState(false);
  const entries = binEntries.value;
  const sums = totals(entries);
  const all = entries.reduce((sum, entry) => sum + entry.count, 0);
  const last = entries[0];

  useEffect(() => {
    undo.value =
      last === undefined || bin !== "" || handed.value === sorting.value
        ? null
        : {
            what: `${named("bin", last.bin)} · ${last.count}`,
            run: () => {
              sendTakenBack(last);
              binEntries.value = entries.slice(1);
            },
          };
    return () => {
      undo.value = null;
    };
  }, [last, bin, handed.value, sorting.value]);

  // What was counted before counts went to the server goes there once.
  useEffect(() => {
    if (sorting.value === "" && person.value !== "") for (const entry of [...entries].reverse()) sendPut(entry);
  }, [entries]);

  const put = (photo: boolean) => {
    if (bin === "") return;
    const unit = photo ? newId() : null;
    const entry = { id: newId(), bin, count, unit_id: unit, made_at: new Date().toISOString(), by: person.value };
    binEntries.value = [entry, ...entries];
    sendPut(entry);
    setBin("");
    setCount(1);
    if (unit !== null) {
      const label = encodeURIComponent(named("bin", bin));
      go(`take/${unit}?count=${count}&label=${label}&back=bins`);
    }
  };

  return (
    <Frame title={t("bins.title")}>
      <h1>{t("bins.title")}</h1>
      {bin === "" ? (
        <>
          <p>{t("bins.what")}</p>
          <PictureKey />
          <div class="bins">
            {bins.map((name) => (
              <button
                key={name}
                type="button"
                class="bin"
                onClick={() => (person.value === "" ? setAsking(true) : setBin(name))}
              >
                <BinShape of={name} />
                <span>{named("bin", name)}</span>
                <output aria-label={t("bins.in", { n: sums[name] ?? 0 })}>{sums[name] ?? 0}</output>
              </button>
            ))}
          </div>
          <p class="notice">{t("bins.never")}</p>
          <Join />
          <Session done={entries.length} />
          {entries.length > 0 && (
            <section class="stack" aria-labelledby="sheet">
              <h2 id="sheet">{t("bins.sheet")}</h2>
              <div class="sheet columns">
                <table>
                  <tbody>
                    {bins
                      .filter((name) => (sums[name] ?? 0) > 0)
                      .map((name) => (
                        <tr key={name}>
                          <th scope="row">{named("bin", name)}</th>
                          <td>{sums[name]}</td>
                        </tr>
                      ))}
                    <tr>
                      <th scope="row">{t("bins.all", { groups: entries.length })}</th>
                      <td>
                        <b>{all}</b>
                      </td>
                    </tr>
                  </tbody>
                </table>
              </div>
              <details>
                <summary>{t("bins.groups")}</summary>
                <ul class="rows">
                  {entries.map((entry) => (
                    <li key={entry.id}>
                      {named("bin", entry.bin)} · {entry.count} · {entry.by} ·{" "}
                      <span class="soft">{moment(entry.made_at)}</span>{" "}
                      {entry.unit_id !== null && <a href={`#/unit/${entry.unit_id}`}>{t("outbox.unit")}</a>}
                    </li>
                  ))}
                </ul>
              </details>
              <p>{t("bins.sign")}</p>
              <button type="button" class="button" onClick={() => print()}>
                {t("print")}
              </button>
              <button
                type="button"
                class="button quiet"
                onClick={() => {
                  if (confirm(t("bins.clear.ask"))) startAnew();
                }}
              >
                {t("bins.clear")}
              </button>
            </section>
          )}
          <Kept />
        </>
      ) : (
        <section class="stack" aria-label={named("bin", bin)}>
          <div class="sheet">
            <div class="slip">
              <BinShape of={bin} />
              <h2>{named("bin", bin)}</h2>
            </div>
            <p>{named("bin.do", bin)}</p>
          </div>
          <Count label={t("bins.count")} value={count} change={setCount} />
          {bin !== "discard" && (
            <button type="button" class="button main" onClick={() => put(true)}>
              <Shape of="camera" /> {t("bins.photo")}
            </button>
          )}
          <button type="button" class={bin === "discard" ? "button main" : "button"} onClick={() => put(false)}>
            {t("bins.put")}
          </button>
          <button type="button" class="button quiet" onClick={() => setBin("")}>
            {t("cancel")}
          </button>
        </section>
      )}
      {asking && <PersonSheet close={() => setAsking(false)} />}
    </Frame>
  );
}
