/** Print without a label: what it is, a person says; and several marks confirmed in one go. */
import { useState } from "preact/hooks";
import { newId } from "../../ids";
import { lettersCertain, oneTap, origin } from "../../marks/letters";
import { type FreePrint, noMarks, order, type Placed, type Shown } from "../../marks/order";
import type { Word, WordBody } from "../../marks/said";
import type { Check, Mark } from "../../types";
import { named, t } from "../../words";
import { Crop } from "./crop";
import { Editor } from "./editor";
import { Kept, Letters, Reasons } from "./mark";

// What print without a label is most often, and what it may be besides: one tap further away.
const often = ["manufacturer", "model", "lot"] as const;
const seldom = ["manufacture_date", "expiry_date", ...noMarks] as const;

/** Print as a person types it, letter for letter. */
function TypedPrint({ label, value, change }: { label: string; value: string; change: (typed: string) => void }) {
  return (
    <label class="field">
      {label}
      <input
        class="ink"
        type="text"
        maxLength={500}
        autocomplete="off"
        spellcheck={false}
        value={value}
        onInput={(event) => change(event.currentTarget.value)}
      />
    </label>
  );
}

/** One piece of ink: what is it? One tap, where its letters are certain; else they are looked at first. */
export function FreeRow({
  number,
  row,
  check,
  photo,
  waiting,
  say,
  touch,
}: {
  number: number;
  row: FreePrint;
  check: Check;
  photo: string;
  waiting: WordBody | undefined;
  say: (word: Word) => void;
  touch: () => void;
}) {
  const { mark, item } = row;
  const [name, setName] = useState("");
  const [typed, setTyped] = useState("");
  const [typing, setTyping] = useState(false);
  const [more, setMore] = useState(false);
  const answer = (what: string) => {
    const whole = typed.trim();
    if (noMarks.includes(what)) say({ mark, item, printed: mark.printed, from: "as_read", named: what });
    else if (whole !== "") say({ mark, item, printed: whole, from: origin(mark, whole), named: what });
    else if (lettersCertain(mark)) say({ mark, item, printed: mark.printed, from: "as_read", named: what });
    else setName(what);
  };
  const one = (what: string) => (
    <button key={what} type="button" class="button small" onClick={() => answer(what)}>
      {named("free.is", what)}
    </button>
  );
  const others = `${t("nav.more")}: ${seldom.length + 1}`;
  return (
    <article
      class="mark free"
      data-standing="free"
      id={`mark-${number}`}
      aria-label={t("free.row", { printed: mark.printed })}
      onFocusCapture={touch}
    >
      <div class="shown">
        <h3 class="unseen">{t("free.what")}</h3>
        {mark.polygon.length > 0 && (
          <Crop
            photo={photo}
            polygon={mark.polygon}
            width={check.width}
            height={check.height}
            label={t("free.crop", { printed: mark.printed })}
          />
        )}
        <Letters mark={mark} />
      </div>
      {/* That only its place names it is said once, above all of them. */}
      <Reasons mark={mark} but="named_by_place" />
      {waiting !== undefined ? (
        <Kept word={waiting} />
      ) : name !== "" ? (
        <>
          <p>
            <b>{t("free.letters", { mark: named("mark", name) })}</b>
          </p>
          <Editor
            mark={mark}
            say={(printed, from) => say({ mark, item, printed, from, named: name })}
            cancel={() => setName("")}
          />
        </>
      ) : (
        <>
          <div class="answers" role="group" aria-label={t("free.row", { printed: mark.printed })}>
            {often.map(one)}
            <button
              type="button"
              class="button small quiet"
              aria-expanded={more}
              aria-label={`${others}: ${mark.printed}`}
              onClick={() => setMore(!more)}
            >
              {others}
            </button>
            {more && (
              <>
                {seldom.map(one)}
                <button
                  type="button"
                  class="button small"
                  aria-expanded={typing}
                  aria-label={`${t("free.other")}: ${mark.printed}`}
                  onClick={() => setTyping(!typing)}
                >
                  {t("free.other")}
                </button>
              </>
            )}
          </div>
          {more && <p class="hint">{t("free.hint")}</p>}
          {typing && <TypedPrint label={t("free.type")} value={typed} change={setTyped} />}
        </>
      )}
    </article>
  );
}

/** Print that a person said is no mark, and how that is taken back. */
export function SetAside({ rows, back }: { rows: Placed[]; back: (row: Placed) => void }) {
  return rows.length === 0 ? null : (
    <section class="sheet" aria-labelledby="aside">
      <h3 id="aside">{t("free.aside")}</h3>
      <ul class="rows">
        {rows.map((row) => (
          <li key={`${row.item}${row.mark.id}`} class="stack tight">
            <p>
              <span class="ink">{row.mark.printed}</span> <span class="tag solid">{named("mark", row.mark.mark)}</span>
            </p>
            <button
              type="button"
              class="button small"
              onClick={() => back(row)}
              aria-label={`${t("mark.change")}: ${row.mark.printed}`}
            >
              {t("mark.change")}
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}

/** The marks whose letters are certain, where there are several. A number is always looked at by itself. */
export function atOnce(cards: Shown[]): Shown[] {
  const certain = cards.filter(({ mark }) => oneTap(mark) && mark.mark !== "approval_number" && mark.id !== "");
  return certain.length < 2 ? [] : certain;
}

/** The marks above, confirmed in one go. */
export function AtOnce({ cards, say }: { cards: Shown[]; say: (words: Word[]) => void }) {
  const offered = atOnce(cards);
  if (offered.length === 0) return null;
  return (
    <div class="stack tight">
      <button
        type="button"
        class="button"
        onClick={() => say(offered.map(({ mark, item }) => ({ mark, item, printed: mark.printed, from: "as_read" })))}
      >
        {t("once.confirm", { n: offered.length })}
      </button>
      <p class="hint small">{t("once.what")}</p>
    </div>
  );
}

/** A mark as it is before anything was read of it. */
const blank = (mark: string): Mark => ({
  mark,
  printed: "",
  value: "",
  standing: "absent",
  probability: 0,
  alternatives: [],
  polygon: [],
  readers: [],
  doubtful_at: [],
  line: null,
  scheme: "",
  confirmed: false,
  id: `added:${newId()}`,
  named_by: "person",
  reasons: [],
  span: null,
  parts: {},
});

/** A person adds a mark that was not read. */
export function AddMark({ items, say }: { items: number; say: (word: Word) => void }) {
  const [name, setName] = useState(order[0]!);
  const [typed, setTyped] = useState("");
  const [item, setItem] = useState(0);
  return (
    <details>
      <summary>{t("add.open")}</summary>
      <form
        class="sheet"
        onSubmit={(event) => {
          event.preventDefault();
          if (typed.trim() === "") return;
          say({ mark: blank(name), item, printed: typed.trim(), from: "typed", named: name });
          setTyped("");
        }}
      >
        {items > 1 && (
          <label class="field">
            {t("add.item")}
            <select value={item} onChange={(event) => setItem(Number(event.currentTarget.value))}>
              {Array.from({ length: items }, (_, place) => (
                <option key={place} value={place}>
                  {t("item.title", { n: place + 1 })}
                </option>
              ))}
            </select>
          </label>
        )}
        <label class="field">
          {t("add.mark")}
          <select value={name} onChange={(event) => setName(event.currentTarget.value)}>
            {order.map((one) => (
              <option key={one} value={one}>
                {named("mark", one)}
              </option>
            ))}
          </select>
        </label>
        <TypedPrint label={t("add.printed")} value={typed} change={setTyped} />
        <button type="submit" class="button main">
          {t("add.keep")}
        </button>
      </form>
    </details>
  );
}
