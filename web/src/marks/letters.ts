/** Correcting a mark letter by letter. */
import type { Mark } from "../types";

/** One letter of the ink as it stands in the editor. */
export interface Cell {
  letter: string;
  doubtful: boolean;
  /** The person has looked at this letter: it was chosen, typed, or its place was certain. */
  settled: boolean;
  /** What else this letter may be, likeliest first, the letter read included. */
  choices: string[];
}

/** Letters that readers and people take for each other; offered beside the reader's own alternatives. */
const alike: Record<string, string> = {
  "0": "ODQ",
  O: "0DQ",
  D: "0O",
  Q: "0O",
  "1": "IL7",
  I: "1L",
  L: "1I",
  "2": "Z7",
  Z: "2",
  "5": "S6",
  S: "5",
  "6": "G5",
  G: "6C",
  "8": "B3",
  B: "8",
  "3": "8",
  "4": "A",
  A: "4",
  "7": "1",
  "9": "G",
  C: "G",
  M: "N",
  N: "M",
  U: "V",
  V: "U",
  P: "R",
  R: "P",
  E: "F",
  F: "E",
};

/** The letters of a mark, each doubtful place with what else it may be. */
export function cells(mark: Mark): Cell[] {
  const letters = Array.from(mark.printed);
  const doubtful = new Set(mark.doubtful_at);
  // A doubtful mark that names no place is doubtful everywhere, unless its name alone is in doubt.
  const everywhere = mark.standing === "doubtful" && doubtful.size === 0 && !lettersCertain(mark);
  return letters.map((letter, place) => {
    const open = everywhere ? letter.trim() !== "" : doubtful.has(place);
    const choices = [letter];
    if (open) {
      for (const other of mark.alternatives) {
        const theirs = Array.from(other.printed);
        const there = theirs.length === letters.length ? theirs[place] : undefined;
        if (there !== undefined && !choices.includes(there)) choices.push(there);
      }
      for (const other of alike[letter.toUpperCase()] ?? "") {
        if (!choices.includes(other) && choices.length < 4) choices.push(other);
      }
    }
    return { letter, doubtful: open, settled: !open, choices };
  });
}

export function text(row: readonly Cell[]): string {
  return row.map((cell) => cell.letter).join("");
}

export function choose(row: readonly Cell[], place: number, letter: string): Cell[] {
  return row.map((cell, here) => (here === place ? { ...cell, letter, settled: true } : cell));
}

export function remove(row: readonly Cell[], place: number): Cell[] {
  return row.filter((_, here) => here !== place);
}

export function insert(row: readonly Cell[], place: number, letter: string): Cell[] {
  const cell: Cell = { letter, doubtful: false, settled: true, choices: [letter] };
  return [...row.slice(0, place), cell, ...row.slice(place)];
}

/** Takes a whole alternative: every letter of it was chosen by the person. */
export function take(printed: string): Cell[] {
  return Array.from(printed).map((letter) => ({ letter, doubtful: false, settled: true, choices: [letter] }));
}

/** What is still to be looked at before these letters can be confirmed. */
export function openPlaces(row: readonly Cell[]): number[] {
  return row.flatMap((cell, place) => (cell.settled ? [] : [place]));
}

/** Reasons that are about what the ink is, not about its letters. */
const aboutTheName: readonly string[] = ["named_by_place", "short_code"];

/** No letter was in doubt: what may be asked is only what the ink is. */
export function lettersCertain(mark: Mark): boolean {
  return (
    mark.doubtful_at.length === 0 &&
    (mark.standing === "read" ||
      (mark.reasons.length > 0 && mark.reasons.every((reason) => aboutTheName.includes(reason))))
  );
}

/** A doubtful mark has no one-tap yes; a mark that was read has. */
export function oneTap(mark: Mark): boolean {
  return mark.standing === "read" && mark.named_by !== "place" && mark.doubtful_at.length === 0 && !mark.confirmed;
}

/** Where a confirmed text came from, in the words of the record. */
export function origin(mark: Mark, printed: string): "as_read" | "alternative" | "typed" {
  if (printed === mark.printed) return "as_read";
  return mark.alternatives.some((other) => other.printed === printed) ? "alternative" : "typed";
}

/** For the agreement report: what a person typed and what was read, spaces and letter case aside. */
export function sameInk(typed: string, read: string): boolean {
  const bare = (value: string) => value.toUpperCase().replace(/\s+/g, "");
  return bare(typed) === bare(read);
}
