/**
 * Bins and the server: each group goes through the outbox under the id that the phone gave it, so the
 * counts are the server's too; the hand-over, the sheet and the note to the donor.
 */
import { signal } from "@preact/signals";
import { useEffect, useState } from "preact/hooks";
import { record, withLanguage } from "../../api";
import type { SortingOut } from "../../generated/api";
import { newId } from "../../ids";
import { changed } from "../../outbox/outbox";
import { type BinEntry, binEntries, groupsAhead, sorting } from "../../settings";
import { Problem, useSigned } from "../../ui/common";
import { useGet } from "../../ui/load";
import { moment, named } from "../../words";
import { inARow } from "../../words/lists";
import { w } from "./words";

/** The sorting that was handed over last, as far as this page saw: nothing of it is taken back then. */
export const handed = signal("");

/** The sorting that this device adds to; a new one where there is none. */
function sortingId(): string {
  if (sorting.value === "") sorting.value = newId();
  return sorting.value;
}

/** Sends a group that was put in. What the server refuses stands in the outbox with its reason. */
export function sendPut(entry: BinEntry): void {
  const { id, bin, count, unit_id } = entry;
  const body = { id, sorting_id: sortingId(), bin, count, unit_id };
  record("/bins/entries", body).catch((problem: unknown) => console.warn("a group was not taken", problem));
}

export function sendTakenBack(entry: BinEntry): void {
  record("/bins/taken-back", { id: newId(), entry_id: entry.id }).catch((problem: unknown) =>
    console.warn("taking back was not taken", problem),
  );
}

/** A new count: what was kept stays on the server under its own sorting. */
export function startAnew(): void {
  binEntries.value = [];
  groupsAhead.value = 0;
  sorting.value = newId();
}

export function Kept() {
  const id = sorting.value;
  const turn = changed.value;
  const { got, problem, again } = useGet<SortingOut>(id === "" ? null : `/bins/sortings/${id}`, turn);
  const [who, setWho] = useState("");
  const [failed, setFailed] = useState<unknown>(null);
  const { sheet, signed } = useSigned();
  const now = got?.answer;
  const isOver = now !== undefined && now.handed_over.length > 0;
  useEffect(() => {
    if (isOver) handed.value = id;
  }, [isOver, id]);
  if (id === "") return null;
  if (now === undefined || got?.keptAt !== null) {
    return problem !== null || got !== null ? <p class="notice">{w("bins.away")}</p> : null;
  }
  if (now.pieces === 0) return null;
  const over = () =>
    signed(() => {
      const body = { id: newId(), received_by: who, counts: now.counts };
      record(`/bins/sortings/${id}/hand-over`, body).then(() => {
        setWho("");
        setFailed(null);
        again();
      }, setFailed);
    });
  return (
    <section class="stack" aria-labelledby="over">
      <h2 id="over">{w("bins.over")}</h2>
      <p role="status">{w("bins.kept", { n: now.pieces })}</p>
      <ul class="rows sheet">
        {Object.entries(now.counts).map(([bin, count]) => (
          <li key={bin}>
            {named("bin", bin)}: <b>{count}</b>
          </li>
        ))}
      </ul>
      {now.handed_over.map((one) => (
        <p key={one.at} class="notice">
          {w("bins.over.done", {
            who: one.received_by,
            at: moment(one.at),
            n: Object.values(one.counts).reduce((sum, count) => sum + count, 0),
          })}
        </p>
      ))}
      {now.late > 0 && <p class="notice">{w("bins.late", { n: now.late })}</p>}
      <a class="button" href={withLanguage(`/bins/sortings/${id}/sheet`)} target="_blank" rel="noreferrer">
        {w("bins.sheet.pdf")}
      </a>
      <a class="button" href={withLanguage(`/bins/sortings/${id}/donor-note`)} target="_blank" rel="noreferrer">
        {w("bins.donor")}
      </a>
      {(now.handed_over.length === 0 || now.late > 0) && (
        <form
          class="stack"
          onSubmit={(event) => {
            event.preventDefault();
            over();
          }}
        >
          <p>{w("bins.over.what")}</p>
          <label class="field">
            {w("bins.over.who")}
            <input
              type="text"
              required
              maxLength={120}
              value={who}
              onInput={(event) => setWho(event.currentTarget.value)}
            />
          </label>
          {failed !== null && <Problem of={failed} />}
          <button type="submit" class="button main">
            {w("bins.over")}
          </button>
        </form>
      )}
      {sheet}
    </section>
  );
}

/** Tables that another device began and that nobody took over yet: a person may add to one. */
export function Join() {
  const { got } = useGet<SortingOut[]>(binEntries.value.length === 0 ? "/bins/sortings?open_only=true&limit=10" : null);
  const open = (got?.answer ?? []).filter((one) => one.pieces > 0 && one.sorting_id !== sorting.value);
  if (binEntries.value.length > 0 || open.length === 0) return null;
  return (
    <details>
      <summary>{w("bins.join")}</summary>
      {open.map((one) => (
        <button
          key={one.sorting_id}
          type="button"
          class="button"
          onClick={() => {
            sorting.value = one.sorting_id;
          }}
        >
          {inARow([one.place, one.groups[0]?.by, one.last_at === null ? "" : moment(one.last_at)], "·")} ·{" "}
          {w("stock.pieces", { n: one.pieces })}
        </button>
      ))}
    </details>
  );
}
