import type { Mark } from "../types";

const order = [
  "approval_number", "filter_class", "agency", "standard", "manufacturer", "model", "lot", "body_number",
  "conformity_mark", "reuse", "efficiency", "expiry_date", "manufacture_date", "shelf_life", "valve", "claims",
];

export interface Shown {
  mark: Mark;
  item: number;
  /** Which of the marks of this name in the item it is, as the record counts them. */
  occurrence: number;
  /** Other places where the same mark was read on the same unit. */
  also: Mark[];
}

const standing = { read: 0, doubtful: 1, absent: 2 } as const;

/** The marks of an item as cards: one a mark, the surest occurrence first, the others beside it. */
export function shown(marks: readonly Mark[], item: number): Shown[] {
  const groups = new Map<string, Mark[]>();
  for (const mark of marks) {
    const key = `${mark.mark} ${mark.scheme}`;
    groups.set(key, [...(groups.get(key) ?? []), mark]);
  }
  const rank = (name: string) => (order.includes(name) ? order.indexOf(name) : order.length);
  return [...groups.values()]
    .map((group) => {
      const sorted = [...group].sort(
        (a, b) => Number(b.confirmed) - Number(a.confirmed) || standing[a.standing] - standing[b.standing] || b.probability - a.probability,
      );
      const first = sorted[0]!;
      const occurrence = marks.filter((other) => other.mark === first.mark).indexOf(first);
      return { mark: first, item, occurrence, also: sorted.slice(1) };
    })
    .sort((a, b) => rank(a.mark.mark) - rank(b.mark.mark));
}
