import { type Line, type Mark, noMarkValues } from "../types";

export const order = [
  "approval_number",
  "filter_class",
  "agency",
  "standard",
  "manufacturer",
  "model",
  "lot",
  "body_number",
  "conformity_mark",
  "reuse",
  "efficiency",
  "expiry_date",
  "manufacture_date",
  "shelf_life",
  "valve",
  "claims",
];

/** What a person may say that ink is which is no mark: print of another kind, or no print at all. */
export const noMarks: readonly string[] = noMarkValues;

/** Where a mark or a free print stands: the mark, and the number of its item in the photo. */
export interface Placed {
  mark: Mark;
  item: number;
}

export interface Shown extends Placed {
  /** Other places where the same was read on the same unit. */
  also: Mark[];
  /** Which of the cards of this name it is, from 1: a unit may bear two classes. */
  nth: number;
}

/** A piece of print of which nobody has said yet what it is. */
export interface FreePrint extends Placed {
  /** The marks that it is offered as. */
  offered: string[];
  /** How high its letters are, in pixels of the photo. */
  size: number;
}

/** Ink that only its place names: a question, never shown as read. */
export const isFree = (mark: Mark): boolean => mark.named_by === "place" && !mark.confirmed;

/**
 * The marks of an item as cards, those of one name as they stand on it: the same value read twice is
 * one card, the surest first; what differs, and what is doubtful, has a card of its own, so that a
 * person can say something of it.
 */
export function shown(marks: readonly Mark[], item: number): Shown[] {
  const groups = new Map<string, Mark[]>();
  marks.forEach((mark, place) => {
    if (isFree(mark) || noMarks.includes(mark.mark)) return;
    const certain = mark.standing === "doubtful" ? mark.confirmed && mark.printed !== "" : true;
    const key = JSON.stringify([mark.mark, mark.scheme, certain ? mark.value : place]);
    groups.set(key, [...(groups.get(key) ?? []), mark]);
  });
  const rank = (name: string) => (order.includes(name) ? order.indexOf(name) : order.length);
  const counted = new Map<string, number>();
  return [...groups.values()]
    .map((group) =>
      [...group].sort((a, b) => Number(b.confirmed) - Number(a.confirmed) || b.probability - a.probability),
    )
    .sort(([a], [b]) => rank(a!.mark) - rank(b!.mark))
    .map(([first, ...also]) => {
      const nth = (counted.get(first!.mark) ?? 0) + 1;
      counted.set(first!.mark, nth);
      return { mark: first!, item, also, nth };
    });
}

/** The free print of an item, one row a piece of ink however often it is offered: the largest first. */
export function freePrint(marks: readonly Mark[], item: number, lines: readonly Line[]): FreePrint[] {
  const rows = new Map<string, FreePrint>();
  marks.forEach((mark, place) => {
    if (!isFree(mark)) return;
    const ink = JSON.stringify(mark.span === null ? [place] : [mark.line, mark.span]);
    const row = rows.get(ink);
    if (row !== undefined) row.offered.push(mark.mark);
    else rows.set(ink, { mark, item, offered: [mark.mark], size: sizeOf(mark, lines) });
  });
  return [...rows.values()].sort((a, b) => b.size - a.size || (a.mark.line ?? 0) - (b.mark.line ?? 0));
}

function sizeOf(mark: Mark, lines: readonly Line[]): number {
  const line = lines.find((one) => one.index === mark.line);
  if (line !== undefined) return line.x_height_px;
  const ys = mark.polygon.map(([, y]) => y);
  return ys.length === 0 ? 0 : Math.max(...ys) - Math.min(...ys);
}

/** Print that a person said is no mark. */
export function setAside(marks: readonly Mark[], item: number): Placed[] {
  return marks.filter((mark) => mark.confirmed && noMarks.includes(mark.mark)).map((mark) => ({ mark, item }));
}
