/** Findings that say the same of several marks, as one sentence. */
import type { Finding } from "../../types";
import { inARow } from "../../words/lists";

export interface Merged<F> {
  says: string;
  of: F[];
}

/** A letter, or a sign that sets a value apart from right to left (UAX #9, 2.4): it stays with its value. */
const letter = /[\p{L}\p{M}\p{N}\u2066\u2069]/u;

/** Whether two findings of one rule differ in nothing but the mark that they name. */
function alike(one: Finding, other: Finding): boolean {
  const [ours, theirs] = [one.values ?? {}, other.values ?? {}];
  const keys = Object.keys(ours);
  // A question whether free print is the mark names, beside it, the rule that wants the mark.
  const own = ["mark", "rule"];
  return (
    one.rule === other.rule &&
    one.severity === other.severity &&
    keys.includes("mark") &&
    keys.length === Object.keys(theirs).length &&
    keys.every((key) => own.includes(key) || ours[key] === theirs[key])
  );
}

/** What each sentence has of its own between what all of them share; null where they share too little. */
function joined(sentences: readonly string[]): string | null {
  const [first = "", ...others] = sentences;
  const most = Math.min(...sentences.map((one) => one.length));
  let start = 0;
  while (start < most && others.every((one) => one[start] === first[start])) start += 1;
  while (start > 0 && letter.test(first[start - 1]!)) start -= 1;
  let end = 0;
  while (end < most - start && others.every((one) => one.at(-1 - end) === first.at(-1 - end))) end += 1;
  while (end > 0 && letter.test(first.at(-end)!)) end -= 1;
  const own = sentences.map((one) => one.slice(start, one.length - end));
  if (start + end < first.length / 2 || own.some((one) => one === "")) return null;
  return `${first.slice(0, start)}${inARow(own, ";")}${first.slice(first.length - end)}`;
}

/** In their order; each of several that differ in the mark alone stands with the first of them. */
export function merged<F extends Finding>(findings: readonly F[], apart: (finding: F) => boolean): Merged<F>[] {
  const rows: Merged<F>[] = [];
  for (const finding of findings) {
    const says = finding.says || finding.rule;
    const row = apart(finding) ? undefined : rows.find((other) => !apart(other.of[0]!) && alike(other.of[0]!, finding));
    const all = row === undefined ? null : joined([...row.of.map((one) => one.says), says]);
    if (row === undefined || all === null) rows.push({ says, of: [finding] });
    else {
      row.of.push(finding);
      row.says = all;
    }
  }
  return rows;
}
