/** A mark: its ink enlarged above the letters read, and what a person says of it. */
import { useEffect, useState } from "preact/hooks";
import { oneTap } from "../../marks/letters";
import type { Shown } from "../../marks/order";
import type { Word, WordBody } from "../../marks/said";
import type { Check, Confirmation, Mark } from "../../types";
import { has, named, t } from "../../words";
import { w } from "../../words/guide";
import { Inks } from "../sentence";
import { Crop } from "./crop";
import { Editor } from "./editor";

/** The meaning of each code, one tap away. */
export function CodesLink() {
  return (
    <a class="codes" href="#/codes">
      {w("codes.title")}
    </a>
  );
}

/** Why a mark is doubtful, in words; a reason that the page does not know is named as the server names it. */
export function Reasons({ mark, but = "" }: { mark: Mark; but?: string }) {
  const told = mark.confirmed || mark.standing !== "doubtful" ? [] : mark.reasons.filter((reason) => reason !== but);
  return told.length === 0 ? null : (
    <ul class="reasons small" aria-label={t("reasons.title")}>
      {told.map((reason) => {
        const key = `reason.${reason}`;
        return <li key={reason}>{has(key) ? t(key) : t("reason.other", { what: reason.replaceAll("_", " ") })}</li>;
      })}
    </ul>
  );
}

/** Long print is set smaller, under its ink. */
const sizeOf = (printed: string): string => (printed.length > 9 ? "letters long" : "letters");

/** The letters, the doubtful ones marked; read aloud as letters with a word on the doubtful. */
export function Letters({ mark }: { mark: Mark }) {
  const doubtful = new Set(mark.doubtful_at);
  return (
    <p class={sizeOf(mark.printed)}>
      {Array.from(mark.printed).map((letter, place) => (doubtful.has(place) ? <u key={place}>{letter}</u> : letter))}
    </p>
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
  alone = true,
  onBench = true,
  check,
  photo,
  confirmation,
  waiting,
  say,
  touch,
}: {
  number: number;
  shown: Shown;
  /** Whether its one tap stands on it; else it is confirmed with others in one go, below them. */
  alone?: boolean;
  /** Whether its doubtful letters are laid out; else they are marked in its ink and open at a tap. */
  onBench?: boolean;
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
  const open = editing || (!done && onBench && mark.standing === "doubtful");
  // What waits for one tap at most stands in a row: ink and letters, answers beside them.
  const short = !open && waiting === undefined;
  const standing = done ? "confirmed" : mark.standing;
  // Said once above those that are confirmed in one go.
  const above = short && !alone && !done;
  const tag = <span class={above ? "unseen" : done ? "tag solid" : "tag"}>{named("standing", standing)}</span>;
  const tell = (printed: string | null, from: Word["from"]) =>
    say({ mark, item, printed, from, named: mark.named_by === "person" ? mark.mark : "" });
  return (
    <article
      class={short ? (done || !oneTap(mark) ? "mark short" : `mark short ${alone ? "alone" : "listed"}`) : "mark"}
      data-standing={standing}
      id={`mark-${number}`}
      aria-label={name}
      onFocusCapture={touch}
    >
      <div class="shown">
        <header>
          <h3>{name}</h3>
          {tag}
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
        {short && done && confirmation.printed !== null && (
          <p class={sizeOf(confirmation.printed)}>{confirmation.printed}</p>
        )}
        {short && !done && mark.printed !== "" && <Letters mark={mark} />}
        {done ? (
          <>
            {confirmation.printed === null && <p>{t("mark.said.unreadable")}</p>}
            {!short && confirmation.printed !== null && <p class="letters">{confirmation.printed}</p>}
            <p class="small soft">
              {confirmation.named !== "" && `${t("mark.said.named", { mark: named("mark", mark.mark) })} `}
              {t("mark.said.by", { name: confirmation.by.name })}
            </p>
          </>
        ) : (
          <>
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
            {t("mark.also")} <Inks of={also.map((other) => other.printed)} sign="·" />
          </p>
        )}
      </div>
      {waiting !== undefined ? (
        <Kept word={waiting} />
      ) : open ? (
        <Editor
          key={`${mark.printed}${editing}`}
          mark={
            done ? { ...mark, printed: confirmation.printed ?? mark.printed, standing: "read", doubtful_at: [] } : mark
          }
          say={tell}
          cancel={editing ? () => setEditing(false) : null}
        />
      ) : done ? (
        <div class="answers">
          <button type="button" class="button small quiet" onClick={() => setEditing(true)}>
            {t("mark.change")}
          </button>
        </div>
      ) : (
        <div class="answers">
          {alone && oneTap(mark) && (
            <button
              type="button"
              class="button small"
              onClick={() => tell(mark.printed, "as_read")}
              aria-label={t("mark.confirm.named", { mark: name, printed: mark.printed })}
            >
              {t("mark.confirm")}
            </button>
          )}
          <button
            type="button"
            class="button small quiet"
            onClick={() => setEditing(true)}
            aria-label={`${t(mark.standing === "absent" ? "mark.type" : "mark.correct")}: ${name}`}
          >
            {t(mark.standing === "absent" ? "mark.type" : "mark.correct")}
          </button>
        </div>
      )}
    </article>
  );
}
