/** A person decides: on a consignment, or on one unit. */
import { useEffect, useState } from "preact/hooks";
import { learnAccess, may } from "../../access";
import { Refused, record } from "../../api";
import { newId } from "../../ids";
import { access, people } from "../../settings";
import {
  type Decision,
  type Disposition,
  type LotStands,
  type Refusal,
  releasersDecisionValues,
  releaseValues,
  releaseWithLimitsValues,
  secondsDecisionValues,
} from "../../types";
import { day, has, moment, named, t } from "../../words";
import { Choices, Problem, useSigned } from "../common";
import { Sentence } from "../sentence";
import { Shape } from "../shapes";

// What is offered at once, and what behind "more".
const often = ["release", "release_limited", "ask_holder", "holder_answered"] as const satisfies readonly Disposition[];
const seldom = [
  "hold_conflict",
  "crisis_reserve",
  "downgrade",
  "return",
  "hand_over",
  "destroy",
  "discard",
  "refuse",
  "laboratory",
  "agree",
  "dissent",
] as const satisfies readonly Disposition[];
// After these somebody has something to do.
const waiting: readonly string[] = ["hold", "hold_conflict", "ask_holder"];
type What = (typeof often)[number] | (typeof seldom)[number] | "lift_hold" | "keep_in";
const releases: readonly Disposition[] = releaseValues;
const limited: readonly Disposition[] = releaseWithLimitsValues;

function Ways({ of }: { of: Refusal[] }) {
  return (
    <ul class="rows" hidden={of.length === 0}>
      {of.map((one) => {
        const says = `block.${one.key}`;
        const lift = `block.${one.key}.lift`;
        const how = has(lift) ? t(lift, one.values) : (one.lift ?? "");
        return (
          <li key={one.key} class="slip">
            <Shape of="held" />
            <div>
              <p>
                <Sentence text={has(says) ? t(says, one.values) : one.says} />
              </p>
              {how !== "" && <p class="small">{t("decide.lift", { how })}</p>}
            </div>
          </li>
        );
      })}
    </ul>
  );
}

/** Whose decision it is; the server has the last word. */
function mine(disposition: Disposition): boolean {
  return (releasersDecisionValues as readonly Disposition[]).includes(disposition)
    ? may("releaser")
    : may("screener", "releaser");
}

/** Where people sign in the server takes nobody without an account; else the names of this phone. */
function names(): string[] {
  const told = access.value;
  return told?.accounts === true ? (told.house ?? []) : people.value;
}

/** Who of the house sees to what comes next: one of the names that are known here, or whoever decides. */
function Assignee({ value, change }: { value: string; change: (name: string) => void }) {
  const signedIn = access.value?.accounts === true;
  useEffect(() => {
    // somebody may have got an account since this page was opened
    if (signedIn) void learnAccess();
  }, [signedIn]);
  const known = names();
  if (known.length < 2) return null;
  return (
    <label class="field">
      {t("decide.assignee")}
      <span class="hint">{t("decide.assignee.when")}</span>
      <select value={value} onChange={(event) => change(event.currentTarget.value)}>
        <option value="">{t("decide.assignee.nobody")}</option>
        {known.map((name) => (
          <option key={name} value={name}>
            {name}
          </option>
        ))}
      </select>
    </label>
  );
}

/** What a person decided before, and what they decide now. The server alone says what a release waits for. */
export function Decide({
  path,
  hold,
  held,
  decisions,
  inTheWay = [],
  lots = [],
  folded = false,
  done,
}: {
  path: string;
  hold: string;
  held: boolean;
  decisions: Decision[];
  inTheWay?: Refusal[];
  lots?: LotStands[];
  /** Whether all but holding opens at a tap. */
  folded?: boolean;
  done: () => void;
}) {
  const [what, setWhat] = useState<What | "">("");
  const [reason, setReason] = useState("");
  const [limits, setLimits] = useState("");
  const [until, setUntil] = useState("");
  const [about, setAbout] = useState("");
  const [lot, setLot] = useState("");
  const [assignee, setAssignee] = useState("");
  const [problem, setProblem] = useState<unknown>(null);
  const { sheet, signed } = useSigned();
  const chosen = lots.find((one) => one.code === lot);
  // A hold on the whole is lifted on the whole: of a lot, only its own.
  const heldHere = chosen === undefined ? held : chosen.in_the_way.some((one) => one.key === "held");
  const waits = chosen === undefined ? inTheWay : chosen.in_the_way;
  const decide = async (disposition: string, why: string) => {
    try {
      await record(`${path}/decisions`, {
        id: newId(),
        disposition,
        reason: why,
        limits,
        until: until === "" ? null : until,
        about,
        ...(lot === "" ? {} : { lot }),
        ...(assignee !== "" && waiting.includes(disposition) ? { assignee } : {}),
      });
      setProblem(null);
      setWhat("");
      setReason("");
      setLimits("");
      setUntil("");
      setAbout("");
      setAssignee("");
      done();
    } catch (failure) {
      if (!(failure instanceof Refused)) throw failure;
      setProblem(failure);
    }
  };
  const option = (value: What) => ({ value, label: named("disposition", value) });
  const ofUnit: What[] = path.startsWith("/units/") ? ["keep_in"] : [];
  const choose = (value: What) => {
    setWhat(value);
    setAbout("");
  };
  const ways = (
    <>
      <Choices
        legend={t("decide.other")}
        name="disposition"
        value={what}
        change={choose}
        options={[...(heldHere ? (["lift_hold"] as const) : []), ...ofUnit, ...often].filter(mine).map(option)}
      />
      <details>
        <summary>{t("decide.more")}</summary>
        <Choices
          legend={t("decide.more")}
          name="disposition-more"
          value={what}
          change={choose}
          options={seldom.filter(mine).map(option)}
        />
      </details>
    </>
  );
  const releasing = what !== "" && releases.includes(what);
  // Who agrees to a release agrees to its limits, and writes them as the releaser will.
  const kind = (what === "agree" ? about : what) as Disposition;
  const bounded = releases.includes(kind);
  return (
    <section class="stack" aria-labelledby="decide">
      <h2 id="decide">{t("decide.title")}</h2>
      {problem !== null && what === "" && <Problem of={problem} />}
      {lots.length > 0 && may("screener", "releaser") && (
        <Choices
          legend={t("lot.decide")}
          name="lot"
          value={lot}
          change={setLot}
          options={[
            { value: "", label: t("lot.all") },
            ...lots.map(({ code }) => ({ value: code, label: t("lot.one", { code }) })),
          ]}
        />
      )}
      {may("screener", "releaser") && <Assignee value={assignee} change={setAssignee} />}
      {!heldHere && mine("hold") && (
        <button type="button" class="button main" onClick={() => signed(() => void decide("hold", ""))}>
          <Shape of="held" /> {hold}
        </button>
      )}
      {may("screener", "releaser") &&
        (folded ? (
          <details>
            <summary>{t("decide.other")}</summary>
            <div class="stack">{ways}</div>
          </details>
        ) : (
          ways
        ))}
      {what !== "" && (
        <form
          class="sheet"
          onSubmit={(event) => {
            event.preventDefault();
            signed(() => void decide(what, reason));
          }}
        >
          {releasing && (
            <>
              {access.value?.accounts === true && <p>{t("decide.release.second")}</p>}
              <p>
                {t("decide.release.person")} {waits.length > 0 && t("decide.release.why")}
              </p>
              <Ways of={waits} />
            </>
          )}
          {what === "holder_answered" && (
            <Choices
              legend={t("decide.answer")}
              name="answer"
              value={about}
              change={setAbout}
              options={["agrees", "differs"].map((value) => ({ value, label: named("answer", value) }))}
            />
          )}
          {(what === "agree" || what === "dissent") && (
            <Choices
              legend={t("decide.about")}
              name="about"
              value={about}
              change={setAbout}
              options={secondsDecisionValues
                .filter((one) => what === "agree" || one !== "lift_hold")
                .map((value) => ({ value, label: named("disposition", value) }))}
            />
          )}
          {what === "return" && <p>{t("decide.return.why")}</p>}
          <label class="field">
            {t("decide.reason")}
            <textarea
              required={what !== "agree"}
              minLength={3}
              maxLength={2000}
              value={reason}
              onInput={(event) => setReason(event.currentTarget.value)}
            />
          </label>
          {bounded && (
            <>
              <label class="field">
                {t("decide.limits")}
                <input
                  type="text"
                  required={limited.includes(kind)}
                  maxLength={2000}
                  value={limits}
                  onInput={(event) => setLimits(event.currentTarget.value)}
                />
              </label>
              <label class="field">
                {t("decide.until")}
                <input type="date" value={until} onInput={(event) => setUntil(event.currentTarget.value)} />
              </label>
            </>
          )}
          {/* Why it was not kept stands where one pressed. */}
          {problem !== null && <Problem of={problem} />}
          <button type="submit" class="button main">
            {t("decide.keep")}
          </button>
        </form>
      )}
      {decisions.length > 0 && (
        <ul class="sheet rows">
          {decisions.map((one) => (
            <li key={one.decision_id} class="slip">
              <Shape
                of={
                  one.disposition.startsWith("hold") && one.disposition !== "holder_answered"
                    ? "held"
                    : (releases as readonly string[]).includes(one.disposition)
                      ? "released"
                      : "note"
                }
              />
              <div>
                <b>
                  {(one.code ?? "") !== "" && <span class="tag">{one.code}</span>}{" "}
                  {named("disposition", one.disposition)}
                  {(one.lot ?? "") !== "" && ` · ${t("lot.one", { code: one.lot! })}`}
                </b>
                {(one.about ?? "") !== "" && (
                  <p>{named(one.disposition === "holder_answered" ? "answer" : "disposition", one.about!)}</p>
                )}
                <p>{one.reason}</p>
                {(one.assignee ?? "") !== "" && <p>{t("decide.assignee.is", { name: one.assignee! })}</p>}
                {one.limits !== "" && <p>{t("decide.with", { limits: one.limits })}</p>}
                {(one.until ?? null) !== null && <p>{t("decide.until.day", { day: day(one.until!) })}</p>}
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
