/** The walk past the cartons: its order, and which of its ticks have not reached the server. */
import type { Parcel } from "../../outbox/db";
import type { DrawnPlace } from "../../types";

/** The carton of a place: what stands before the last stroke; "" where its name tells none. */
export const cartonOf = ({ place }: Pick<DrawnPlace, "place">): string =>
  place.slice(0, Math.max(0, place.lastIndexOf("/")));

/** Places carton by carton, numbers by their size: C2 before C10. */
export function byCarton<Place extends Pick<DrawnPlace, "place">>(places: readonly Place[]): Place[] {
  const { compare } = new Intl.Collator("en", { numeric: true });
  return [...places].sort((a, b) => compare(cartonOf(a), cartonOf(b)) || compare(a.place, b.place));
}

type Ticked = Pick<Parcel, "id" | "path" | "state" | "made_at" | "body">;

/**
 * What this phone said of places and an answer of the server does not have yet, the last word on each:
 * what waits, and what was sent after a copy of the answer (`keptAt`) was kept.
 */
export function unheard(parcels: readonly Ticked[], path: string, keptAt: string | null): Map<string, boolean> {
  const words = new Map<string, boolean>();
  const ours = parcels
    .filter((one) => one.path.split("?")[0] === `/api${path}`)
    .filter((one) => one.state === "waiting" || (one.state === "sent" && keptAt !== null && one.made_at > keptAt))
    .sort((a, b) => (a.id < b.id ? -1 : 1));
  for (const { body } of ours) {
    const { place, picked } = body as { place: string; picked: boolean };
    words.set(place, picked);
  }
  return words;
}
