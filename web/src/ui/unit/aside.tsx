/** A finding answered by a person: set aside with a reason, or taken up again; it stays where it is. */
import { createContext } from "preact";
import { useContext, useState } from "preact/hooks";
import { may } from "../../access";
import { Refused, record } from "../../api";
import { newId } from "../../ids";
import { type AnswerKind, type AnswersLeft, answerKindValues, type FindingAnswer } from "../../types";
import { has, moment, named, t } from "../../words";
import { inSentence } from "../../words/lists";
import { Choices, Problem, SignedForm } from "../common";
import { Shape } from "../shapes";

/** Whose findings are shown, what was said to them, and what to do once something more was said. */
export interface Answering {
  /** `/units/…` or `/consignments/…`. */
  path: string;
  unit: string;
  answers: FindingAnswer[];
  done: () => void;
}

export const AnsweringTo = createContext<Answering | null>(null);

function Said({ one, takeUp }: { one: FindingAnswer; takeUp: (() => void) | null }) {
  const values = { name: one.by.name, at: moment(one.by.at), reason: one.reason };
  const kind = has(`answered.${one.kind}`) ? t(`answered.${one.kind}` as "answered.own_words") : "";
  return (
    <div class="stack tight">
      <p class="slip">
        <Shape of={one.takes_up === null ? "note" : "undo"} />
        <span>
          {one.takes_up === null ? t("answered.set_aside", { ...values, kind }) : t("answered.taken_up", values)}
        </span>
      </p>
      {takeUp !== null && (
        <button type="button" class="button small" onClick={takeUp}>
          {t("aside.take_up")}
        </button>
      )}
    </div>
  );
}

/** Whether anything was said to one of these findings. */
export function useSaidOf(findings: string[], where: string): boolean {
  const to = useContext(AnsweringTo);
  return (to?.answers ?? []).some((one) => one.where === where && findings.includes(one.finding));
}

/** What was said to this finding, and the way to say something. `where` is empty but for a further item. */
export function Answered({ finding, where }: { finding: string; where: string }) {
  const to = useContext(AnsweringTo);
  const [open, setOpen] = useState("");
  const [kind, setKind] = useState<AnswerKind>("own_words");
  const [reason, setReason] = useState("");
  const [problem, setProblem] = useState<unknown>(null);
  if (to === null || finding === "") return null;
  const said = to.answers.filter((one) => one.finding === finding && one.where === where);
  const last = said[said.length - 1];
  const aside = last !== undefined && last.takes_up === null;
  const keep = async () => {
    const body = aside ? { id: newId(), reason } : { id: newId(), finding, where, kind, reason };
    try {
      await record(aside ? `/answers/${last.answer_id}/take-up` : `${to.path}/answers`, body, to.unit);
      setProblem(null);
      setOpen("");
      setReason("");
      to.done();
    } catch (failure) {
      if (!(failure instanceof Refused)) throw failure;
      setProblem(failure);
    }
  };
  return (
    <div class="stack tight">
      {said.map((one) => (
        <Said
          key={one.answer_id}
          one={one}
          takeUp={aside && one === last && open === "" && may("screener", "releaser") ? () => setOpen("take_up") : null}
        />
      ))}
      {!aside && open === "" && may("releaser") && (
        <button type="button" class="button quiet small" onClick={() => setOpen("aside")}>
          {t("aside.set")}
        </button>
      )}
      {open !== "" && (
        <SignedForm class="stack" write={() => void keep()}>
          {problem !== null && <Problem of={problem} />}
          {!aside && (
            <>
              <p class="small">{t("aside.why")}</p>
              <Choices
                legend={t("aside.kind")}
                name={`kind-${finding}-${where}`}
                value={kind}
                change={setKind}
                options={answerKindValues.map((value) => ({ value, label: named("answered", value) }))}
              />
            </>
          )}
          <label class="field">
            {t("decide.reason")}
            <textarea
              required
              minLength={3}
              maxLength={2000}
              value={reason}
              onInput={(event) => setReason(event.currentTarget.value)}
            />
          </label>
          <button type="submit" class="button main">
            {t(aside ? "aside.take_up" : "aside.keep")}
          </button>
          <button type="button" class="button quiet" onClick={() => setOpen("")}>
            {t("cancel")}
          </button>
        </SignedForm>
      )}
    </div>
  );
}

/** What is left without what was set aside, and by whom; the outcome as found stands above it. */
export function After({ of }: { of: AnswersLeft | null }) {
  if (of === null) return null;
  return (
    <p class="notice" role="status">
      {t("answered.after", { people: inSentence(of.people), outcome: named("state", of.outcome) })}
    </p>
  );
}

/** What to do next about one finding; `plain` where it stands in a fold already. */
export function Steps({ of, plain = false }: { of: string[]; plain?: boolean }) {
  if (of.length === 0) return null;
  const steps = (
    <ol class="steps">
      {of.map((step) => (
        <li key={step}>{step}</li>
      ))}
    </ol>
  );
  return plain ? (
    steps
  ) : (
    <details>
      <summary class="small">
        {t("steps.title")}: {of.length}
      </summary>
      {steps}
    </details>
  );
}
