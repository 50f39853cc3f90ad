import {
  type AspectState,
  aspectValues,
  type Basis,
  type Check,
  type CheckRow,
  type Outcome,
  outcomeValues,
  type PhotoRow,
  type Unit,
  type UnitRow,
} from "./types";

/** The worst of several outcomes; null for none. */
export function worst(outcomes: readonly Outcome[]): Outcome | null {
  return outcomeValues.find((outcome) => outcomes.includes(outcome)) ?? null;
}

/** The newest check of each photo that no later photo replaces, in the order the photos were taken. */
export function presentChecks(unit: Unit): CheckRow[] {
  const checksOf = (photo: string) => unit.checks.filter((row) => row.photo_id === photo);
  return (
    unit.photos
      // Once the full photo is read its check stands; until then the quick copy's does.
      .filter((photo) => photo.replaced_by === null || checksOf(photo.replaced_by).length === 0)
      .flatMap((photo) => checksOf(photo.photo_id).slice(0, 1))
  );
}

/** A unit of a list that was photographed and is not read yet. */
export const notReadYet = (row: UnitRow): boolean => row.outcome === null && row.photo_ids.length > 0;

/** Photos with no check yet. */
export function unread(unit: Unit): PhotoRow[] {
  return unit.photos.filter(
    (photo) => photo.replaced_by === null && !unit.checks.some((row) => row.photo_id === photo.photo_id),
  );
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
  for (const aspect of aspectValues) {
    const states = checks.map((check) => check.aspects[aspect] ?? "not_looked_at");
    out[aspect] = worst(states.filter((state): state is Outcome => state !== "not_looked_at")) ?? "not_looked_at";
  }
  return out;
}

/**
 * The unit to confirm after this one: read, and nothing of it confirmed yet; of the same consignment,
 * or, where there is none, of the same day. The one made after it, else the one made last before it.
 */
export function nextToConfirm(
  rows: readonly UnitRow[],
  unit: { unit_id: string; consignment_id: string | null; made_at: string },
): UnitRow | null {
  const open = rows
    .filter(
      (row) => row.unit_id !== unit.unit_id && row.basis === "reading" && row.consignment_id === unit.consignment_id,
    )
    .filter((row) => row.consignment_id !== null || row.made_at.slice(0, 10) === unit.made_at.slice(0, 10))
    .sort((a, b) => (a.unit_id < b.unit_id ? -1 : 1));
  return open.find((row) => row.unit_id > unit.unit_id) ?? open.at(-1) ?? null;
}

/**
 * How many units of a consignment are at a state. Where it was declared how many came, all that nobody
 * looked at are counted as not looked at, not only those that were photographed and not read yet.
 */
export function unitsAt(
  state: AspectState,
  of: { by_outcome: Record<string, number>; units_declared: number | null; looked_at: number },
): number {
  const known = of.by_outcome[state] ?? 0;
  return state !== "not_looked_at" || of.units_declared === null
    ? known
    : Math.max(known, of.units_declared - of.looked_at);
}
