/** A person decides: on a consignment, or on one unit. */
import { useState } from "preact/hooks";
import { may } from "../../access";
import { ask, NotHere, Refused, record } from "../../api";
import { newId } from "../../ids";
import { access } from "../../settings";
import {
  type AsSeen,
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
import { Assignee } from "./assignee";

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
// A release that may say what alone the goods are handed out as.
const narrowed: readonly string[] = ["release_limited", "crisis_reserve"];
type What = (typeof often)[number] | (typeof seldom)[number] | "lift_hold" | "keep_in";
const releases: readonly Disposition[] = releaseValues;
const limited: readonly Disposition[] = releaseWithLimitsValues;
// Decided on what is known now, so never kept on the phone for later: what opens, not what shuts.
const atOnce: readonly string[] = [...releaseValues, "agree", "keep_in", "lift_hold"];

/** What stands in the way, each with what to do about it. */
export function Ways({ of }: { of: Refusal[] }) {
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

/** What the holder was asked about these goods, and what was answered unasked: each can be answered. */
function questionsOf(decisions: Decision[], lot: string): Decision[] {
  const found: Decision[] = [];
  for (const one of decisions.filter((each) => (each.lot ?? "") === lot)) {
    const answers = one.answers ?? "";
    const unasked = answers === one.decision_id || (answers === "" && found.length === 0);
    if (one.disposition === "ask_holder" || (one.disposition === "holder_answered" && unasked)) found.push(one);
  }
  return found;
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
  seen,
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
  /** How the goods stand on this screen: what is decided on them is decided on that. */
  seen?: AsSeen | undefined;
  done: () => void;
}) {
  const [what, setWhat] = useState<What | "">("");
  const [reason, setReason] = useState("");
  const [limits, setLimits] = useState("");
  const [until, setUntil] = useState("");
  const [about, setAbout] = useState("");
  const [lot, setLot] = useState("");
  const [assignee, setAssignee] = useState("");
  const [onlyAs, setOnlyAs] = useState<"" | "source_control" | "training">("");
  const [question, setQuestion] = useState("");
  const [waits, setWaits] = useState(false);
  const [problem, setProblem] = useState<unknown>(null);
  const { sheet, signed } = useSigned();
  const chosen = lots.find((one) => one.code === lot);
  // A hold on the whole is lifted on the whole: of a lot, only its own.
  const heldHere = chosen === undefined ? held : chosen.in_the_way.some((one) => one.key === "held");
  const inItsWay = chosen === undefined ? inTheWay : chosen.in_the_way;
  const questions = questionsOf(decisions, lot);
  const asSeen = chosen === undefined ? seen : chosen.seen;
  const decide = async (disposition: string, why: string) => {
    const only = questions.length === 1 ? questions[0]!.decision_id : "";
    const answers = disposition === "holder_answered" ? question || only : "";
    try {
      const body = {
        id: newId(),
        disposition,
        reason: why,
        limits,
        until: until === "" ? null : until,
        about,
        ...(lot === "" ? {} : { lot }),
        ...(assignee !== "" && waiting.includes(disposition) ? { assignee } : {}),
        ...(answers === "" ? {} : { answers }),
        ...(onlyAs !== "" && narrowed.includes(disposition) ? { only_as: onlyAs } : {}),
        ...(asSeen === undefined ? {} : { seen: asSeen }),
      };
      if (atOnce.includes(disposition)) {
        await ask(`${path}/decisions`, body);
        setWaits(false);
      } else {
        setWaits((await record(`${path}/decisions`, body)).waiting);
      }
      setProblem(null);
      setWhat("");
      setReason("");
      setLimits("");
      setUntil("");
      setAbout("");
      setAssignee("");
      setQuestion("");
      setOnlyAs("");
      done();
    } catch (failure) {
      if (!(failure instanceof Refused || failure instanceof NotHere)) throw failure;
      setProblem(failure);
      // it may stand otherwise than it was seen: the screen shows how
      if (failure instanceof Refused) done();
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
  const trouble =
    problem instanceof NotHere ? (
      <p class="notice" role="alert">
        {t("decide.away")}
      </p>
    ) : (
      <Problem of={problem} />
    );
  return (
    <section class="stack" aria-labelledby="decide">
      <h2 id="decide">{t("decide.title")}</h2>
      {problem !== null && what === "" && trouble}
      {waits && (
        <p class="notice" role="status">
          {t("marks.waiting")}
        </p>
      )}
      {lots.length > 0 && may("screener", "releaser") && (
        <Choices
          legend={t("lot.decide")}
          name="lot"
          value={lot}
          change={(code) => {
            setLot(code);
            setQuestion("");
          }}
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
                {t("decide.release.person")} {inItsWay.length > 0 && t("decide.release.why")}
              </p>
              <Ways of={inItsWay} />
            </>
          )}
          {what === "holder_answered" && questions.length > 1 && (
            <label class="field">
              {t("decide.question")}
              <select required value={question} onChange={(event) => setQuestion(event.currentTarget.value)}>
                <option value="" />
                {questions.map((one) => (
                  <option key={one.decision_id} value={one.decision_id}>
                    {moment(one.by.at)} · {one.reason.slice(0, 60)}
                  </option>
                ))}
              </select>
            </label>
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
          {narrowed.includes(what) && (
            <Choices
              legend={t("decide.as")}
              name="only-as"
              value={onlyAs}
              change={setOnlyAs}
              options={(["", "source_control", "training"] as const).map((value) => ({
                value,
                label: t(`decide.as.${value || "any"}`),
              }))}
            />
          )}
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
          {problem !== null && trouble}
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
                {(one.only_as ?? "") !== "" && (
                  <p>
                    {t("decide.as")}: {named("decide.as", one.only_as)}
                  </p>
                )}
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
