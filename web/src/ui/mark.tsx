/** A mark: its ink enlarged above the letters read, and what a person says of it. */
import { useEffect, useState } from "preact/hooks";
import {
  type Cell,
  cells,
  choose,
  insert,
  oneTap,
  openPlaces,
  origin,
  remove,
  sameInk,
  take,
  text,
} from "../marks/letters";
import type { Placed, Shown } from "../marks/order";
import type { WordBody } from "../marks/said";
import type { Check, Confirmation, Mark } from "../types";
import { has, named, t } from "../words";
import { Crop } from "./crop";

export interface Word extends Placed {
  printed: string | null;
  from: "as_read" | "alternative" | "typed" | "typed_before_shown";
  /** What the person says that the ink is; empty where it is what it was read as. */
  named?: string;
}

/** Why a mark is doubtful, in words; a reason that the page does not know is named as the server names it. */
export function Reasons({ mark }: { mark: Mark }) {
  const told = mark.confirmed || mark.standing !== "doubtful" ? [] : mark.reasons;
  return told.length === 0 ? null : (
    <ul class="reasons small" aria-label={t("reasons.title")}>
      {told.map((reason) => {
        const key = `reason.${reason}`;
        return <li key={reason}>{has(key) ? t(key) : t("reason.other", { what: reason.replaceAll("_", " ") })}</li>;
      })}
    </ul>
  );
}

/** The letters, the doubtful ones marked; read aloud as letters with a word on the doubtful. */
export function Letters({ mark }: { mark: Mark }) {
  const doubtful = new Set(mark.doubtful_at);
  return (
    <p class={mark.printed.length > 16 ? "letters long" : "letters"}>
      {Array.from(mark.printed).map((letter, place) => (doubtful.has(place) ? <u key={place}>{letter}</u> : letter))}
    </p>
  );
}

function Bench({
  row,
  at,
  change,
  move,
}: {
  row: Cell[];
  at: number;
  change: (row: Cell[]) => void;
  move: (at: number) => void;
}) {
  const cell = row[at];
  if (cell === undefined) return null;
  const next = (after: Cell[]) => {
    change(after);
    const open = openPlaces(after);
    move(open.find((place) => place > at) ?? open[0] ?? at);
  };
  return (
    <div class="bench" role="group" aria-label={t("letter.title", { n: at + 1 })}>
      <p>
        <b>{t("letter.title", { n: at + 1 })}</b> {cell.doubtful && !cell.settled && t("letter.doubtful")}
      </p>
      {cell.choices.length > 1 && (
        <div class="cells">
          {cell.choices.map((letter) => (
            <button
              key={letter}
              type="button"
              class="cell"
              aria-label={t("letter.is", { letter })}
              onClick={() => next(choose(row, at, letter))}
            >
              {letter}
            </button>
          ))}
        </div>
      )}
      <label class="field">
        {t("letter.other")}
        <input
          class="ink"
          type="text"
          maxLength={1}
          autocomplete="off"
          autocapitalize="characters"
          spellcheck={false}
          value=""
          onInput={(event) => {
            const letter = event.currentTarget.value;
            event.currentTarget.value = "";
            if (letter !== "") next(choose(row, at, letter));
          }}
        />
      </label>
      <div class="pair">
        <button
          type="button"
          class="button small"
          onClick={() => {
            change(insert(row, at + 1, "?"));
            move(at + 1);
          }}
        >
          {t("letter.insert")}
        </button>
        <button
          type="button"
          class="button small"
          onClick={() => {
            change(remove(row, at));
            move(Math.max(0, at - 1));
          }}
        >
          {t("letter.remove")}
        </button>
      </div>
    </div>
  );
}

export function Editor({
  mark,
  say,
  cancel,
}: {
  mark: Mark;
  say: (printed: string | null, from: Word["from"]) => void;
  cancel: (() => void) | null;
}) {
  const [row, setRow] = useState<Cell[]>(() => (mark.printed === "" ? [] : cells(mark)));
  const [at, setAt] = useState(() => openPlaces(cells(mark))[0] ?? 0);
  const open = openPlaces(row);
  const others = mark.alternatives.filter((other) => other.printed !== mark.printed);
  return (
    <div class="stack">
      {mark.standing === "doubtful" && (
        <p>{open.length > 0 ? t("editor.open", { n: open.length }) : t("editor.settled")}</p>
      )}
      {others.length > 0 && (
        <fieldset>
          <legend>{t("editor.others")}</legend>
          <div class="choices">
            {others.slice(0, 4).map((other) => (
              <button
                key={other.printed}
                type="button"
                class="button small ink"
                onClick={() => setRow(take(other.printed))}
              >
                {other.printed}
              </button>
            ))}
          </div>
        </fieldset>
      )}
      <div class="cells" role="group" aria-label={t("editor.letters")}>
        {row.map((cell, place) => (
          <button
            key={place}
            type="button"
            class="cell"
            data-open={cell.settled ? undefined : ""}
            aria-pressed={place === at}
            aria-label={t(cell.settled ? "letter.place" : "letter.place.doubtful", {
              n: place + 1,
              letter: cell.letter === " " ? "␣" : cell.letter,
            })}
            onClick={() => setAt(place)}
          >
            {cell.letter}
          </button>
        ))}
      </div>
      {row.length > 0 && <Bench row={row} at={Math.min(at, row.length - 1)} change={setRow} move={setAt} />}
      <label class="field">
        {t("editor.type")}
        <input
          class="ink"
          type="text"
          maxLength={500}
          autocomplete="off"
          spellcheck={false}
          onInput={(event) => setRow(take(event.currentTarget.value.trim()))}
        />
      </label>
      <div class="pair">
        <button
          type="button"
          class="button main"
          disabled={open.length > 0 || text(row).trim() === "" || text(row).includes("?")}
          onClick={() => say(text(row), origin(mark, text(row)))}
        >
          {t("mark.confirm.letters")}
        </button>
        <button type="button" class="button" onClick={() => say(null, "typed")}>
          {t("mark.unreadable")}
        </button>
        {cancel !== null && (
          <button type="button" class="button quiet" onClick={cancel}>
            {t("cancel")}
          </button>
        )}
      </div>
    </div>
  );
}

/** The number is typed before the reading is shown: asked of a random tenth. */
export function TypeFirst({
  shown,
  check,
  photo,
  say,
}: {
  shown: Shown;
  check: Check;
  photo: string;
  say: (word: Word) => void;
}) {
  const [typed, setTyped] = useState("");
  const [answer, setAnswer] = useState<"" | "same" | "differs">("");
  const { mark, item } = shown;
  const tell = (printed: string | null) => say({ mark, item, printed, from: "typed_before_shown" });
  return (
    <section class="mark" data-standing="doubtful" aria-label={t("first.title")}>
      <h1>{t("first.title")}</h1>
      <p>{t("first.why")}</p>
      <Crop
        photo={photo}
        polygon={mark.polygon}
        width={check.width}
        height={check.height}
        label={t("mark.crop", { mark: named("mark", mark.mark) })}
      />
      {answer === "" ? (
        <form
          class="stack"
          onSubmit={(event) => {
            event.preventDefault();
            if (typed.trim() !== "") setAnswer(sameInk(typed, mark.printed) ? "same" : "differs");
          }}
        >
          <label class="field">
            {t("first.field")}
            <input
              class="ink"
              type="text"
              autocomplete="off"
              autocapitalize="characters"
              spellcheck={false}
              value={typed}
              onInput={(event) => setTyped(event.currentTarget.value)}
            />
          </label>
          <div class="pair">
            <button type="submit" class="button main">
              {t("first.done")}
            </button>
            <button type="button" class="button" onClick={() => tell(null)}>
              {t("mark.unreadable")}
            </button>
          </div>
        </form>
      ) : (
        <div class="stack" role="status">
          <p>
            <b>{t(answer === "same" ? "first.same" : "first.differs")}</b>
          </p>
          <dl class="versus">
            <dt>{t("first.you")}</dt>
            <dd class="ink">{typed}</dd>
            <dt>{t("first.read")}</dt>
            <dd class="ink">{mark.printed}</dd>
          </dl>
          <div class="pair">
            <button
              type="button"
              class="button main"
              onClick={() => tell(answer === "same" ? mark.printed : typed.trim())}
            >
              {t(answer === "same" ? "first.go" : "first.keep")}
            </button>
            {answer === "differs" && (
              <button type="button" class="button" onClick={() => setAnswer("")}>
                {t("first.look")}
              </button>
            )}
          </div>
        </div>
      )}
    </section>
  );
}

/** What was said and lies on this phone: it is not asked for a second time. */
export function Kept({ word }: { word: WordBody }) {
  return (
    <div class="notice" role="status">
      <p class="ink">{word.printed ?? t("mark.said.unreadable")}</p>
      <p class="small">
        {word.named !== "" && `${named("mark", word.named)}. `}
        {t("marks.waiting")}
      </p>
    </div>
  );
}

export function MarkCard({
  number,
  shown,
  check,
  photo,
  confirmation,
  waiting,
  say,
  touch,
}: {
  number: number;
  shown: Shown;
  check: Check;
  photo: string;
  confirmation: Confirmation | null;
  /** What was said of it and lies on this phone. */
  waiting: WordBody | undefined;
  say: (word: Word) => void;
  touch: () => void;
}) {
  const { mark, item, also } = shown;
  const [editing, setEditing] = useState(false);
  useEffect(() => setEditing(false), [mark.printed, mark.confirmed]);
  const name = shown.nth > 1 ? `${named("mark", mark.mark)} ${shown.nth}` : named("mark", mark.mark);
  const done = confirmation !== null;
  const standing = done ? "confirmed" : mark.standing;
  const tell = (printed: string | null, from: Word["from"]) =>
    say({ mark, item, printed, from, named: mark.named_by === "person" ? mark.mark : "" });
  return (
    <article class="mark" data-standing={standing} id={`mark-${number}`} aria-label={name} onFocusCapture={touch}>
      <header>
        <h3>
          <i aria-hidden="true">{number}</i> {name}
        </h3>
        <span class={done ? "tag solid" : "tag"}>{named("standing", standing)}</span>
      </header>
      {mark.polygon.length > 0 && (
        <Crop
          photo={photo}
          polygon={mark.polygon}
          width={check.width}
          height={check.height}
          label={t("mark.crop", { mark: name })}
        />
      )}
      {done ? (
        <>
          {confirmation.printed === null ? (
            <p>{t("mark.said.unreadable")}</p>
          ) : (
            <p class="letters">{confirmation.printed}</p>
          )}
          <p class="small soft">
            {confirmation.named !== "" && `${t("mark.said.named", { mark: named("mark", mark.mark) })} `}
            {t("mark.said.by", { name: confirmation.by.name })}
          </p>
          {!editing && (
            <button type="button" class="button small" onClick={() => setEditing(true)}>
              {t("mark.change")}
            </button>
          )}
        </>
      ) : (
        <>
          {mark.printed !== "" && !(mark.standing === "doubtful" || editing) && <Letters mark={mark} />}
          {mark.value !== "" && mark.value !== mark.printed && mark.standing === "read" && (
            <p class="small soft">
              {t("mark.normal")} <span class="ink">{mark.value}</span>
            </p>
          )}
          {mark.standing === "absent" && <p class="soft">{t("mark.absent")}</p>}
          <Reasons mark={mark} />
        </>
      )}
      {also.length > 0 && (
        <p class="small soft">
          {t("mark.also")} <span class="ink">{also.map((other) => other.printed).join(" · ")}</span>
        </p>
      )}
      {waiting !== undefined ? (
        <Kept word={waiting} />
      ) : editing || (!done && mark.standing === "doubtful") ? (
        <Editor
          key={`${mark.printed}${editing}`}
          mark={
            done ? { ...mark, printed: confirmation.printed ?? mark.printed, standing: "read", doubtful_at: [] } : mark
          }
          say={tell}
          cancel={editing ? () => setEditing(false) : null}
        />
      ) : (
        !done && (
          <div class="answers">
            {oneTap(mark) && (
              <button
                type="button"
                class="button main"
                onClick={() => tell(mark.printed, "as_read")}
                aria-label={t("mark.confirm.named", { mark: name, printed: mark.printed })}
              >
                {t("mark.confirm")}
              </button>
            )}
            <button
              type="button"
              class="button small"
              onClick={() => setEditing(true)}
              aria-label={`${t(mark.standing === "absent" ? "mark.type" : "mark.correct")}: ${name}`}
            >
              {t(mark.standing === "absent" ? "mark.type" : "mark.correct")}
            </button>
            {mark.standing !== "absent" && (
              <button
                type="button"
                class="button small"
                onClick={() => tell(null, "typed")}
                aria-label={`${t("mark.unreadable")}: ${name}`}
              >
                {t("mark.unreadable")}
              </button>
            )}
          </div>
        )
      )}
    </article>
  );
}
