/** What the authority's own list said when a person looked there: kept apart from the user's list. */
import { useState } from "preact/hooks";
import { newId } from "../ids";
import { send } from "../outbox/outbox";
import { person } from "../settings";
import type { Check } from "../types";
import { moment, named, t } from "../words";
import { Choices, PersonSheet } from "./common";
import { useGet } from "./load";
import { Shape } from "./shapes";

interface Kept {
  look_up_id: string;
  looked_up: string;
  list_name: string;
  answer: string;
  words: string;
  looked_up_at: string;
  by: { name: string };
}

const answers = ["listed_same", "listed_other", "listed_ended", "not_listed", "no_answer"] as const;

export function LookUp({ unit, check }: { unit: string; check: Check }) {
  const { got, again } = useGet<Kept[]>(`/holders/look-ups?unit_id=${unit}`);
  const [asked, setAsked] = useState(check.holder_match.looked_up);
  const [list, setList] = useState("");
  const [answer, setAnswer] = useState<(typeof answers)[number] | "">("");
  const [words, setWords] = useState("");
  const [naming, setNaming] = useState(false);
  const [problem, setProblem] = useState("");
  const kept = got?.answer ?? [];
  const keep = async () => {
    if (person.value === "") {
      setNaming(true);
      return;
    }
    if (answer === "") return;
    const id = newId();
    const parcel = await send({
      id, path: "/api/holders/look-ups", actor: person.value, unit_id: unit,
      fields: { id, looked_up: asked, list_name: list, answer, scheme: check.scheme, words, unit_id: unit },
    });
    setProblem(parcel.state === "refused" ? parcel.reason : "");
    if (parcel.state !== "refused") {
      setAnswer("");
      setWords("");
      again();
    }
  };
  return (
    <section class="stack" aria-labelledby="lookup">
      <h2 id="lookup">{t("lookup.title")}</h2>
      <div class="sheet">
        {kept.length === 0 ? (
          <p class="slip">
            <Shape of="not_looked_at" />
            <span>{t("lookup.none")}</span>
          </p>
        ) : (
          <ul class="rows">
            {kept.map((one) => (
              <li key={one.look_up_id}>
                <b>{named("lookup", one.answer)}</b> · {one.list_name} · <span class="ink">{one.looked_up}</span>
                {one.words !== "" && <p>“{one.words}”</p>}
                <p class="small soft">
                  {one.by.name} · {moment(one.looked_up_at)}
                </p>
              </li>
            ))}
          </ul>
        )}
        <details>
          <summary>{t("lookup.open")}</summary>
          <form class="stack" onSubmit={(event) => { event.preventDefault(); void keep(); }}>
            <p>{t("lookup.what")}</p>
            {problem !== "" && <p class="notice" role="alert">{problem}</p>}
            <label class="field">
              {t("lookup.list")}
              <input type="text" required maxLength={200} value={list} onInput={(event) => setList(event.currentTarget.value)} />
            </label>
            <label class="field">
              {t("lookup.asked")}
              <input class="ink" type="text" required maxLength={400} value={asked} onInput={(event) => setAsked(event.currentTarget.value)} />
            </label>
            <Choices legend={t("lookup.answer")} name="lookup" value={answer} change={setAnswer} options={answers.map((value) => ({ value, label: named("lookup", value) }))} />
            <label class="field">
              {t("lookup.words")}
              <textarea required minLength={2} maxLength={4000} value={words} onInput={(event) => setWords(event.currentTarget.value)} />
            </label>
            <button type="submit" class="button main" disabled={answer === ""}>
              {t("lookup.keep")}
            </button>
          </form>
        </details>
      </div>
      {naming && (
        <PersonSheet
          close={() => {
            setNaming(false);
            if (person.value !== "") void keep();
          }}
        />
      )}
    </section>
  );
}
