import type { AspectState, Basis, Check, CheckRow, Outcome, PhotoRow, Unit } from "./types";

const order: Outcome[] = ["conflict", "missing", "cannot_tell", "no_conflict_found"];

/** The worst of several outcomes; null for none. */
export function worst(outcomes: readonly Outcome[]): Outcome | null {
  return order.find((outcome) => outcomes.includes(outcome)) ?? null;
}

export const aspectOrder = ["reading", "marks", "list", "documents", "construction", "supplier"];

/** The newest check of each photo that no later photo replaces, in the order the photos were taken. */
export function presentChecks(unit: Unit): CheckRow[] {
  const replaced = new Set(unit.photos.map((photo) => photo.replaces).filter(Boolean));
  const known = (photo: PhotoRow) => unit.checks.some((row) => row.photo_id === photo.photo_id);
  return unit.photos
    .filter((photo) => {
      if (!replaced.has(photo.photo_id)) return true;
      // The full photo is there but not read yet: the quick copy's check still stands for it.
      const later = unit.photos.find((other) => other.replaces === photo.photo_id);
      return later !== undefined && !known(later);
    })
    .flatMap((photo) => {
      const rows = unit.checks.filter((row) => row.photo_id === photo.photo_id);
      rows.sort((a, b) => (a.made_at === b.made_at ? (a.check_id < b.check_id ? 1 : -1) : a.made_at < b.made_at ? 1 : -1));
      return rows.slice(0, 1);
    });
}

export function together(checks: readonly Check[]): { outcome: Outcome | null; basis: Basis } {
  return {
    outcome: worst(checks.map((check) => check.outcome)),
    basis: checks.length > 0 && checks.every((check) => check.basis === "confirmed") ? "confirmed" : "reading",
  };
}

/** Each aspect over all photos of a unit: the worst that was looked at. */
export function aspectsTogether(checks: readonly Check[]): Record<string, AspectState> {
  const out: Record<string, AspectState> = {};
  for (const aspect of aspectOrder) {
    const states = checks.map((check) => check.aspects[aspect] ?? "not_looked_at");
    out[aspect] = worst(states.filter((state): state is Outcome => state !== "not_looked_at")) ?? "not_looked_at";
  }
  return out;
}
