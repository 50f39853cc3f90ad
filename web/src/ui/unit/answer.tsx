/** The first thing on a unit's page: what it came to, the one reason for it, what to do next. */
import type { Check, Finding, HolderMatch, UnitCheck } from "../../types";
import { type Key, t } from "../../words";
import { Outcome } from "../common";
import { Sentence } from "../sentence";
import { kindOf } from "./findings";

interface Why {
  says: string;
  step: string;
}

const of: Record<string, readonly string[]> = {
  conflict: ["conflict"],
  missing: ["missing"],
  cannot_tell: ["question", "missing"],
};
const step: Record<string, Key> = { conflict: "why.ask", missing: "why.look", cannot_tell: "why.again" };

/** The finding or list state that an outcome rests on: the first of the worst kind. */
function whyOf(state: string, findings: readonly Finding[], match: HolderMatch | null, free: number): Why | null {
  const kinds = of[state] ?? [];
  // Once print is named most such questions are answered, so that is the next step.
  if (state === "cannot_tell" && free > 0) return { says: t("why.free", { n: free }), step: t("why.free.step") };
  for (const kind of kinds) {
    const found = findings.find((finding) => kindOf(finding) === kind);
    if (found !== undefined) return { says: found.says, step: t(step[state]!) };
  }
  const differs = match !== null && (match.state === "listed_differs" || match.state === "listed_ended");
  if (match !== null && match.says !== "" && (state === "conflict" ? differs : match.question))
    return { says: match.says, step: t(step[state] ?? "why.again") };
  return null;
}

export function Answer({
  sum,
  together,
  checks,
  left,
  free,
}: {
  sum: { outcome: string | null; basis: "reading" | "confirmed" };
  together: UnitCheck | null;
  checks: readonly Check[];
  left: number;
  free: number;
}) {
  const state = sum.outcome ?? "none";
  const findings: readonly Finding[] = together?.check.findings ?? checks.flatMap((check) => check.findings);
  const match = together?.check.holder_match ?? checks[0]?.holder_match ?? null;
  const why = whyOf(state, findings, match, free);
  return (
    <Outcome state={sum.outcome} basis={sum.basis} left={left}>
      {why !== null && (
        <div class="why">
          <p>
            <b>{t("why.because")}</b> <Sentence text={why.says} />
          </p>
          <p>
            <b>{t("why.next")}</b> {why.step}
          </p>
        </div>
      )}
    </Outcome>
  );
}
