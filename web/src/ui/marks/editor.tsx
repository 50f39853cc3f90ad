/** Correcting a mark letter by letter, or typing it before the reading is shown. */
import { useEffect, useRef, useState } from "preact/hooks";
import { type Cell, cells, choose, insert, openPlaces, origin, remove, sameInk, take, text } from "../../marks/letters";
import type { Shown } from "../../marks/order";
import type { Word } from "../../marks/said";
import type { Check, Mark } from "../../types";
import { named, t } from "../../words";
import { Crop } from "./crop";

function Bench({
  row,
  at,
  touched,
  change,
  move,
}: {
  row: Cell[];
  at: number;
  /** How often a place was tapped: one that offers no other letter then waits for a key. */
  touched: number;
  change: (row: Cell[]) => void;
  move: (at: number) => void;
}) {
  const other = useRef<HTMLInputElement>(null);
  const cell = row[at];
  const alone = (cell?.choices.length ?? 0) <= 1;
  useEffect(() => {
    if (touched > 0 && alone) other.current?.focus();
  }, [touched]);
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
          ref={other}
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
  const [touched, setTouched] = useState(0);
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
            onClick={() => {
              setAt(place);
              setTouched(touched + 1);
            }}
          >
            {cell.letter}
          </button>
        ))}
      </div>
      {row.length > 0 && (
        <Bench row={row} at={Math.min(at, row.length - 1)} touched={touched} change={setRow} move={setAt} />
      )}
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
