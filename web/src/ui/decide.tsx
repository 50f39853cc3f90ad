/** A person decides: on a consignment, or on one unit. */
import { useState } from "preact/hooks";
import { record, Refused } from "../api";
import { newId } from "../ids";
import type { Decision } from "../types";
import { moment, named, t } from "../words";
import { Choices, Problem, useSigned } from "./common";
import { Shape } from "./shapes";

/** What a release waits for, in the server's words. */
export interface InTheWay {
  key: string;
  says: string;
}

const dispositions = ["hold", "ask_holder", "laboratory", "return", "dispose", "lift_hold", "release"] as const;

/** What a person decided before, and what they decide now. The server alone says what a release waits for. */
export function Decide({
  path, hold, held, decisions, inTheWay = [], done,
}: {
  path: string;
  hold: string;
  held: boolean;
  decisions: Decision[];
  inTheWay?: InTheWay[];
  done: () => void;
}) {
  const [what, setWhat] = useState<(typeof dispositions)[number] | "">("");
  const [reason, setReason] = useState("");
  const [limits, setLimits] = useState("");
  const [problem, setProblem] = useState<unknown>(null);
  const { sheet, signed } = useSigned();
  const decide = async (disposition: string, why: string) => {
    try {
      await record(`${path}/decisions`, { id: newId(), disposition, reason: why, limits });
      setProblem(null);
      setWhat("");
      setReason("");
      done();
    } catch (failure) {
      if (!(failure instanceof Refused)) throw failure;
      setProblem(failure);
    }
  };
  return (
    <section class="stack" aria-labelledby="decide">
      <h2 id="decide">{t("decide.title")}</h2>
      {problem !== null && <Problem of={problem} />}
      {!held && (
        <button type="button" class="button main" onClick={() => signed(() => void decide("hold", ""))}>
          <Shape of="held" /> {hold}
        </button>
      )}
      <Choices legend={t("decide.other")} name="disposition" value={what} change={setWhat} options={dispositions.filter((one) => (one === "lift_hold" ? held : one !== "hold")).map((value) => ({ value, label: named("disposition", value) }))} />
      {what !== "" && (
        <form class="sheet" onSubmit={(event) => { event.preventDefault(); signed(() => void decide(what, reason)); }}>
          {what === "release" && (
            <>
              <p>
                {t("decide.release.person")} {inTheWay.length > 0 && t("decide.release.why")}
              </p>
              <ul class="rows" hidden={inTheWay.length === 0}>
                {inTheWay.map((one) => (
                  <li key={one.key} class="slip">
                    <Shape of="held" />
                    <p>{one.says}</p>
                  </li>
                ))}
              </ul>
            </>
          )}
          {what === "return" && <p>{t("decide.return.why")}</p>}
          <label class="field">
            {t("decide.reason")}
            <textarea required minLength={3} maxLength={2000} value={reason} onInput={(event) => setReason(event.currentTarget.value)} />
          </label>
          {what === "release" && (
            <label class="field">
              {t("decide.limits")}
              <input type="text" maxLength={2000} value={limits} onInput={(event) => setLimits(event.currentTarget.value)} />
            </label>
          )}
          <button type="submit" class="button main">
            {t("decide.keep")}
          </button>
        </form>
      )}
      {decisions.length > 0 && (
        <ul class="sheet rows">
          {decisions.map((one) => (
            <li key={one.decision_id} class="slip">
              <Shape of={one.disposition === "hold" ? "held" : one.disposition === "release" ? "released" : "note"} />
              <div>
                <b>{named("disposition", one.disposition)}</b>
                <p>{one.reason}</p>
                {one.limits !== "" && <p>{t("decide.with", { limits: one.limits })}</p>}
                <p class="small soft">
                  {one.by.name} · {moment(one.by.at)}
                </p>
              </div>
            </li>
          ))}
        </ul>
      )}
      {sheet}
    </section>
  );
}
