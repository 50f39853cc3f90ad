/** What a person said of a mark, on the photo itself or on the reduced copy that went before it. */
import type { Parcel } from "../outbox/db";
import type { Confirm, Confirmation, Mark, Unit } from "../types";
import type { Placed } from "./order";

/** What a person says is printed there; null where it cannot be read. */
export interface Word extends Placed {
  printed: string | null;
  from: "as_read" | "alternative" | "typed" | "typed_before_shown";
  /** What the person says that the ink is; empty where it is what it was read as. */
  named?: string;
}

/** The reduced copy that a photo took the place of; the photo itself where there was none. */
export function firstShown(unit: Unit, photo: string): string {
  return unit.photos.find((other) => other.replaced_by === photo)?.photo_id ?? photo;
}

/**
 * The confirmation in force of one mark: the one that names it; else, where the check says that the
 * mark is confirmed, the one that says the same. That is a word on the reduced copy, which the server
 * carried over to the full photo's own mark.
 */
export function saidOf(unit: Unit, photo: string, { mark, item }: Placed): Confirmation | null {
  const on = (of: string) =>
    unit.confirmations.filter(
      (word) => word.in_force && word.withdraws === null && word.photo_id === of && (word.item ?? 0) === item,
    );
  const own = on(photo);
  const named = own.find((word) => mark.id !== "" && word.mark_id === mark.id);
  if (named !== undefined || !mark.confirmed) return named ?? null;
  const copy = firstShown(unit, photo);
  return [...own, ...(copy === photo ? [] : on(copy))].find((word) => saysSo(word, mark)) ?? null;
}

function saysSo(word: Confirmation, mark: Mark): boolean {
  const letters =
    word.printed === mark.printed || (word.printed === null && (mark.printed === "" || word.named === mark.mark));
  return (word.named || word.mark) === mark.mark && letters;
}

/** A person's word as it goes to the server. */
export type WordBody = Required<Omit<Confirm, "occurrence">>;

/** What two words must have in common to be the same word of the same person. */
export const sayOf = (word: Pick<WordBody, "printed" | "named">): string => JSON.stringify([word.printed, word.named]);

/** Words that lie on this phone and are not taken back there, the last one on each mark of a photo. */
export function waitingWords(parcels: readonly Parcel[], photo: string): Map<string, WordBody> {
  const waiting = parcels.filter((parcel) => parcel.state === "waiting").sort((a, b) => (a.id < b.id ? -1 : 1));
  const withdrawn = waiting.flatMap((parcel) => /\/confirmations\/([^/?]+)\/withdraw/.exec(parcel.path)?.[1] ?? []);
  const words = waiting.flatMap((parcel) => {
    if (!/\/confirmations(\/several)?(\?|$)/.test(parcel.path)) return [];
    const body = parcel.body as WordBody | { confirmations: WordBody[] };
    return "confirmations" in body ? body.confirmations : [body];
  });
  return new Map(
    words
      .filter((word) => word.photo_id === photo && !withdrawn.includes(word.id))
      .map((word) => [placeKey(word.item, word.mark_id), word]),
  );
}

export const placeKey = (item: number, markId: string): string => `${item} ${markId}`;
