/** What a person said of a mark, on the photo itself or on the reduced copy that went before it. */
import type { Confirmation, Unit } from "../types";
import type { Shown } from "./order";

/** The reduced copy that a photo took the place of; the photo itself where there was none. */
export function firstShown(unit: Unit, photo: string): string {
  return unit.photos.find((other) => other.replaced_by === photo)?.photo_id ?? photo;
}

/**
 * The confirmation in force of one mark. A word on the reduced copy holds for the full photo where the
 * server carried it over: then the mark says so itself, or the word is that it cannot be read.
 */
export function saidOf(unit: Unit, photo: string, { mark, item, occurrence }: Shown): Confirmation | null {
  const on = (of: string) =>
    unit.confirmations.find(
      (word) => word.in_force && word.withdraws === null && word.photo_id === of && word.mark === mark.mark &&
        (word.item ?? 0) === item && word.occurrence === occurrence,
    ) ?? null;
  const own = on(photo);
  const copy = firstShown(unit, photo);
  if (own !== null || copy === photo) return own;
  const carried = on(copy);
  return carried !== null && (mark.confirmed || carried.printed === null) ? carried : null;
}
