/** The order in which one walks past the cartons. */
import type { DrawnPlace } from "../../types";

/** The carton of a place: what stands before the last stroke; "" where its name tells none. */
export const cartonOf = ({ place }: Pick<DrawnPlace, "place">): string =>
  place.slice(0, Math.max(0, place.lastIndexOf("/")));

/** Places carton by carton, numbers by their size: C2 before C10. */
export function byCarton<Place extends Pick<DrawnPlace, "place">>(places: readonly Place[]): Place[] {
  const { compare } = new Intl.Collator("en", { numeric: true });
  return [...places].sort((a, b) => compare(cartonOf(a), cartonOf(b)) || compare(a.place, b.place));
}
