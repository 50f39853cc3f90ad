/** Several photos of the same print in a row: which of them to put forward. */
import type { Looked } from "./look";

/** How many a burst takes. */
export const burstOf = 5;

/**
 * The place of the photo to put forward: the fewest faults named, and of those the sharpest. One that
 * was not looked at, or that this phone cannot open, stands behind every one that was.
 */
export function best(found: readonly (Looked | null | "looking")[]): number {
  const rank = found.map((one) => {
    if (one === null || one === "looking") return [Infinity, Infinity] as const;
    const blur = one.quality.find((fact) => fact.fact === "blur");
    return [
      one.quality.filter((fact) => fact.state === "poor").length,
      blur?.state === "not_measured" ? Infinity : (blur?.value ?? Infinity),
    ] as const;
  });
  return rank.reduce((first, [faults, blur], place) => {
    const [least, sharpest] = rank[first]!;
    return faults < least || (faults === least && blur < sharpest) ? place : first;
  }, 0);
}
