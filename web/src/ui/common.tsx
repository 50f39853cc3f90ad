/** Parts that every page uses: the frame, the outcome, a question in a dialog, counting up and down. */
import { signal } from "@preact/signals";
import type { ComponentChildren, JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { offline, refusedCount, waitingCount } from "../outbox/outbox";
import { route } from "../route";
import { access, language, people, person } from "../settings";
import type { Basis } from "../types";
import { aboutWords, languages, moment, named, speak, t, unreviewed } from "../words";
import { Caveat } from "./caveat";
import { AccountSheet } from "./people/account";
import { Drop, Shape } from "./shapes";
import { Problem, Sheet } from "./sheet";

export { Caveat, Problem, Sheet };

function LanguageSheet({ close }: { close: () => void }) {
  return (
    <Sheet title={t("language.title")} close={close}>
      <ul class="stack tight">
        {languages.map(({ code, name }) => (
          <li key={code}>
            <button
              type="button"
              lang={code}
              class="button wide"
              aria-pressed={language.value === code}
              onClick={() => void speak(code).then(close)}
            >
              {name}
            </button>
          </li>
        ))}
      </ul>
      <p class="hint">
        {unreviewed.value ? t("language.machine") : t("language.reviewed", { who: aboutWords.value.reviewed_by })}
      </p>
    </Sheet>
  );
}

export function PersonSheet({ close, why }: { close: () => void; why?: string }) {
  const [name, setName] = useState("");
  const choose = (chosen: string) => {
    const clean = chosen.trim().slice(0, 60);
    if (clean === "") return;
    person.value = clean;
    if (!people.value.includes(clean)) people.value = [clean, ...people.value].slice(0, 8);
    close();
  };
  return (
    <Sheet title={t("person.title")} close={close}>
      <p>{why ?? t("person.why")}</p>
      {people.value.length > 0 && (
        <ul class="stack tight" aria-label={t("person.known")}>
          {people.value.map((known) => (
            <li key={known}>
              <button
                type="button"
                class="button wide"
                aria-pressed={known === person.value}
                onClick={() => choose(known)}
              >
                <Shape of="person" /> {known}
              </button>
            </li>
          ))}
        </ul>
      )}
      <form
        class="stack"
        onSubmit={(event) => {
          event.preventDefault();
          choose(name);
        }}
      >
        <label class="field">
          {t("person.new")}
          <input type="text" autocomplete="off" value={name} onInput={(event) => setName(event.currentTarget.value)} />
        </label>
        <button type="submit" class="button main">
          {t("person.use")}
        </button>
      </form>
    </Sheet>
  );
}

/** Runs a write once somebody has said who they are. */
export function useSigned(): { sheet: JSX.Element | null; signed: (write: () => void) => void } {
  const [write, setWrite] = useState<(() => void) | null>(null);
  return {
    sheet:
      write === null ? null : (
        <PersonSheet
          close={() => {
            const now = write;
            setWrite(null);
            if (person.value !== "") now();
          }}
        />
      ),
    signed: (now) => (person.value === "" ? setWrite(() => now) : now()),
  };
}

/** A form whose write waits until somebody has said who they are. */
export function SignedForm({
  class: look,
  write,
  children,
}: {
  class: "stack" | "sheet";
  write: () => void;
  children: ComponentChildren;
}) {
  const { sheet, signed } = useSigned();
  return (
    <>
      <form
        class={look}
        onSubmit={(event) => {
          event.preventDefault();
          signed(write);
        }}
      >
        {children}
      </form>
      {sheet}
    </>
  );
}

function Top() {
  const [sheet, setSheet] = useState<"" | "language" | "person">("");
  const close = () => setSheet("");
  const shown = languages.find(({ code }) => code === language.value)?.code ?? "en";
  return (
    <header class="top">
      <a class="brand" href="#/">
        <Drop /> <span>Inkwitness</span>
      </a>
      {(waitingCount.value > 0 || refusedCount.value > 0 || offline.value) && (
        <a class="chip queue" href="#/outbox">
          <span class="unseen">{t("outbox.title")}: </span>
          <span aria-hidden="true" style={{ display: "inline-flex", inlineSize: "1.25rem" }}>
            <Shape of={refusedCount.value > 0 ? "refused" : "waiting"} />
          </span>
          {offline.value && waitingCount.value === 0 ? t("outbox.offline") : waitingCount.value + refusedCount.value}
        </a>
      )}
      <button type="button" class="chip" onClick={() => setSheet("person")}>
        <span class="unseen">{t("person.title")}: </span>
        <span aria-hidden="true" style={{ display: "inline-flex", inlineSize: "1.25rem" }}>
          <Shape of="person" />
        </span>
        <span class="name" dir="auto">
          {person.value || t("person.nobody")}
        </span>
      </button>
      <button type="button" class="chip" onClick={() => setSheet("language")}>
        <span class="unseen">{t("language.title")}: </span>
        {shown.toUpperCase()}
      </button>
      {sheet === "language" && <LanguageSheet close={close} />}
      {sheet === "person" &&
        (access.value?.accounts === true ? <AccountSheet close={close} /> : <PersonSheet close={close} />)}
    </header>
  );
}

/** Few lines of text fit on the screen (large letters, or the phone lies on its side). */
function isLow(): boolean {
  return window.innerHeight / parseFloat(getComputedStyle(document.documentElement).fontSize) < 30;
}

/** What can be undone with the large button above the caveat, and how. */
export interface Undo {
  what: string;
  run: () => void;
}

export const undo = signal<Undo | null>(null);

/** `answers` stand where the ways to other pages stand otherwise: a question that the page ends with. */
export function Frame({
  children,
  broad = false,
  title,
  answers,
  decide = false,
}: {
  children: ComponentChildren;
  broad?: boolean;
  title: string;
  answers?: ComponentChildren;
  /** Whether the page has a decision, which is then one tap away wherever one stands on it. */
  decide?: boolean;
}) {
  const main = useRef<HTMLElement>(null);
  const { page, id, query } = route.value;
  // What is photographed from a consignment's pages belongs to it.
  const consignment =
    page === "consignment" && id !== "new" ? id : page === "take" ? (query.get("consignment") ?? "") : "";
  const [low, setLow] = useState(isLow);
  useEffect(() => {
    const look = () => setLow(isLow());
    // Letters may have been made larger between the first drawing and now.
    look();
    window.addEventListener("resize", look);
    return () => window.removeEventListener("resize", look);
  }, []);
  const ways = answers ?? (
    <nav class="ways" aria-label={t("nav.title")}>
      <a href="#/kept" aria-current={page === "kept" ? "page" : undefined}>
        <Shape of="kept" /> {t("nav.kept")}
      </a>
      <a
        class="shoot"
        href={consignment === "" ? "#/take" : `#/take?consignment=${consignment}`}
        aria-current={page === "take" ? "page" : undefined}
      >
        <Shape of="camera" /> {t("nav.take")}
      </a>
      <a href="#/more" aria-current={page === "more" ? "page" : undefined}>
        <Shape of="more" /> {t("nav.more")}
      </a>
      {decide && (
        <button type="button" onClick={() => document.getElementById("decide")?.scrollIntoView({ block: "start" })}>
          <Shape of="held" /> {t("decide.title")}
        </button>
      )}
    </nav>
  );
  useEffect(() => {
    document.title = `${title} – Inkwitness`;
  }, [title]);
  return (
    <div class="frame">
      {/* biome-ignore lint/a11y/useValidAnchor: it leads within the page; the address stays the route */}
      <a
        class="unseen"
        href="#main"
        onClick={(event) => {
          event.preventDefault();
          main.current?.focus();
        }}
      >
        {t("skip")}
      </a>
      <Top />
      <main ref={main} id="main" tabIndex={-1} class={broad ? "broad" : undefined}>
        {children}
      </main>
      {low && ways}
      <footer class="foot">
        {undo.value !== null && (
          <div class="undo">
            <button type="button" class="button wide" onClick={() => undo.value?.run()}>
              <Shape of="undo" /> {t("undo", { what: undo.value.what })}
            </button>
          </div>
        )}
        {answers !== undefined && !low && answers}
        <Caveat />
        {answers === undefined && !low && ways}
      </footer>
    </div>
  );
}

/** The outcome: shape and word, and whether a person has confirmed what it rests on. */
export function Outcome({
  state,
  basis,
  left = 0,
  level = 1,
  children,
}: {
  state: string | null;
  basis?: Basis | null;
  left?: number;
  level?: 1 | 2;
  children?: ComponentChildren;
}) {
  const of = state ?? "none";
  const Heading = level === 1 ? "h1" : "h2";
  return (
    <section class="outcome" data-state={of} aria-label={t("outcome.title")}>
      <div class="stamp">
        <Shape of={of === "none" ? "not_looked_at" : of} />
      </div>
      <div class="words">
        <Heading>{named("outcome", of)}</Heading>
        <p>{named("outcome.do", of)}</p>
        {basis === "reading" && (
          <p>
            <span class="tag">{t("basis.reading")}</span>
          </p>
        )}
        {basis === "confirmed" && (
          <p>
            <span class="tag">{left > 0 ? t("basis.part", { n: left }) : t("basis.confirmed")}</span>
          </p>
        )}
        {children}
      </div>
    </section>
  );
}

export function Count({ value, change, label }: { value: number; change: (value: number) => void; label: string }) {
  const set = (next: number) => change(Math.max(1, Math.min(100000, Math.round(next) || 1)));
  return (
    <fieldset>
      <legend>{label}</legend>
      <div class="stepper">
        {[-10, -1].map((by) => (
          <button key={by} type="button" class="button" aria-label={`${label}: ${by}`} onClick={() => set(value + by)}>
            −{-by}
          </button>
        ))}
        <input
          type="number"
          inputMode="numeric"
          min={1}
          max={100000}
          aria-label={label}
          value={value}
          onInput={(event) => set(event.currentTarget.valueAsNumber)}
        />
        {[1, 10].map((by) => (
          <button key={by} type="button" class="button" aria-label={`${label}: +${by}`} onClick={() => set(value + by)}>
            +{by}
          </button>
        ))}
      </div>
    </fieldset>
  );
}

export function Choices<T extends string>({
  legend,
  name,
  options,
  value,
  change,
}: {
  legend: string;
  name: string;
  options: { value: T; label: string }[];
  value: T | "";
  change: (value: T) => void;
}) {
  return (
    <fieldset>
      <legend>{legend}</legend>
      <div class="choices">
        {options.map((option) => (
          <label class="choice" key={option.value}>
            <input
              type="radio"
              name={name}
              value={option.value}
              checked={value === option.value}
              onChange={() => change(option.value)}
            />
            <span>{option.label}</span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}

export function Toggle({ label, on, change }: { label: string; on: boolean; change: (on: boolean) => void }) {
  return (
    <label class="choice">
      <input type="checkbox" checked={on} onChange={(event) => change(event.currentTarget.checked)} />
      <span>{label}</span>
    </label>
  );
}

export function CopyFrom({ at }: { at: string | null }) {
  return at === null ? null : <p class="notice">{t("copy.kept", { when: moment(at) })}</p>;
}
