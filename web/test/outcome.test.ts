import { describe, expect, it } from "vitest";
import { clock } from "../src/clock";
import { aspectsTogether, nextToConfirm, presentChecks, together, unitsAt, unread, worst } from "../src/outcome";
import type { Check, CheckRow, PhotoRow, Unit, UnitRow } from "../src/types";
import { frameOf } from "../src/ui/marks/crop";
import { about, held } from "../src/ui/marks/photo";

const photo = (photo_id: string, replaced_by: string | null = null): PhotoRow => ({
  photo_id,
  surface: "facepiece",
  whole: "yes",
  declared: [],
  width: 1,
  height: 1,
  sha256: "",
  served_sha256: "",
  served_how: "metadata_removed",
  had_location: false,
  file: "intact",
  reduced: false,
  replaced_by,
  removed: null,
});
const row = (photo_id: string, check_id: string, outcome: Check["outcome"] = "missing"): CheckRow => ({
  check_id,
  photo_id,
  made_at: "",
  on: "",
  basis: "reading",
  why: "read",
  confirmations: [],
  check: { outcome, basis: "reading", aspects: { marks: outcome } } as unknown as Check,
});
const unit = (photos: PhotoRow[], checks: CheckRow[]): Unit => ({
  unit_id: "u",
  label: "",
  count: 1,
  consignment_id: null,
  place: "",
  made_at: "",
  row: {} as UnitRow,
  held: false,
  photos,
  unit_check: null,
  checks,
  confirmations: [],
  decisions: [],
  answers: [],
  construction: null,
  came_with: null,
  after: null,
  seen: { outcome: null, decisions: 0, evidence: "" },
});

describe("the unit to confirm next", () => {
  const line = (
    unit_id: string,
    basis: UnitRow["basis"] = "reading",
    consignment_id: string | null = null,
    made_at = "2026-11-25T09:00:00Z",
  ): UnitRow => ({
    unit_id,
    label: "",
    count: 1,
    consignment_id,
    place: "",
    made_at,
    outcome: null,
    basis,
    photo_ids: [],
    scheme: "",
    approval_number: "",
    holder: "",
    unit_check_id: null,
  });
  const next = (rows: UnitRow[], of: UnitRow) => nextToConfirm(rows, of)?.unit_id ?? null;

  it("is the one made after this one, and after the last the one before it", () => {
    const rows = [line("c"), line("b"), line("a")];
    expect(next(rows, line("a"))).toBe("b");
    expect(next(rows, line("c"))).toBe("b");
  });
  it("is none that was begun or not read", () => {
    expect(next([line("a"), line("b", "confirmed"), line("c", null)], line("a"))).toBeNull();
  });
  it("is of the same consignment, or of the same day where there is none", () => {
    expect(next([line("b"), line("c", "reading", "x")], line("a", "reading", "x"))).toBe("c");
    expect(next([line("b", "reading", null, "2026-11-24T09:00:00Z")], line("a"))).toBeNull();
  });
});

describe("an outcome over several photos", () => {
  it("is the worst: conflict, then missing, then cannot tell", () => {
    expect(worst(["no_conflict_found", "cannot_tell", "missing"])).toBe("missing");
    expect(worst(["no_conflict_found", "conflict"])).toBe("conflict");
    expect(worst([])).toBeNull();
  });

  it("takes each photo's newest check", () => {
    expect(presentChecks(unit([photo("p")], [row("p", "new"), row("p", "old")])).map((one) => one.check_id)).toEqual([
      "new",
    ]);
  });

  it("lets the quick copy stand until the full photo is read, and then no longer", () => {
    const photos = [photo("quick", "full"), photo("full")];
    expect(presentChecks(unit(photos, [row("quick", "a")])).map((one) => one.check_id)).toEqual(["a"]);
    expect(unread(unit(photos, [row("quick", "a")])).map((one) => one.photo_id)).toEqual(["full"]);
    expect(presentChecks(unit(photos, [row("full", "b"), row("quick", "a")])).map((one) => one.check_id)).toEqual([
      "b",
    ]);
  });

  it("is confirmed only when every photo is", () => {
    const confirmed = { outcome: "missing", basis: "confirmed" } as Check;
    expect(together([confirmed, { ...confirmed, basis: "reading" }]).basis).toBe("reading");
    expect(together([confirmed]).basis).toBe("confirmed");
    expect(together([]).basis).toBe("reading");
  });

  it("says not looked at for what no photo looked at, never nothing", () => {
    expect(aspectsTogether([row("p", "a").check])).toMatchObject({
      marks: "missing",
      documents: "not_looked_at",
      supplier: "not_looked_at",
    });
  });
});

describe("the piece of the photo beside a mark", () => {
  it("is turned so that the writing runs left to right", () => {
    // Writing from bottom to top: the top edge runs upwards, so it is turned back by 90 degrees.
    const up = frameOf(
      [
        [10, 100],
        [10, 0],
        [30, 0],
        [30, 100],
      ],
      0,
    )!;
    expect(up.degrees).toBe(-90);
    expect([up.width, up.height].map(Math.round)).toEqual([100, 20]);
    expect([up.x, up.y].map(Math.round)).toEqual([20, 50]);
  });

  it("follows a curved line from its first to its last point", () => {
    const bent = frameOf(
      [
        [0, 10],
        [50, 0],
        [100, 10],
        [100, 30],
        [50, 20],
        [0, 30],
      ],
      0,
    )!;
    expect(bent.degrees).toBe(0);
    expect([bent.width, bent.height]).toEqual([100, 30]);
  });

  it("is nothing where there is no place", () => {
    expect(frameOf([])).toBeNull();
  });
});

describe("enlarging", () => {
  it("keeps the point under the fingers where it is", () => {
    const now = about({ x: 0, y: 0, by: 1 }, 2, 100, 50);
    expect(now).toEqual({ by: 2, x: -100, y: -50 });
    expect((100 - now.x) / now.by).toBe(100);
  });

  it("never leaves a gap at an edge and never shrinks below the whole photo", () => {
    expect(held({ x: 50, y: -999, by: 2 }, 300, 200)).toEqual({ x: 0, y: -200, by: 2 });
    expect(held({ x: -5, y: -5, by: 0.5 }, 300, 200)).toEqual({ x: 0, y: 0, by: 1 });
  });
});

describe("the phone's clock", () => {
  it("is told with its offset from UTC", () => {
    const date = new Date("2026-11-25T10:00:00.000Z");
    const told = clock(date);
    expect(told).toMatch(/[+-]\d\d:\d\d$/);
    expect(new Date(told).getTime()).toBe(date.getTime());
  });
});

describe("units of a consignment", () => {
  const seen = { by_outcome: { conflict: 1, no_conflict_found: 2, not_looked_at: 1 }, looked_at: 3 };

  it("that nobody looked at are the rest of those declared", () => {
    expect(unitsAt("not_looked_at", { ...seen, units_declared: 40_000 })).toBe(39_997);
    expect(unitsAt("conflict", { ...seen, units_declared: 40_000 })).toBe(1);
    expect(unitsAt("missing", { ...seen, units_declared: 40_000 })).toBe(0);
  });

  it("are only those that are known where nothing was declared, or too few", () => {
    expect(unitsAt("not_looked_at", { ...seen, units_declared: null })).toBe(1);
    expect(unitsAt("not_looked_at", { ...seen, units_declared: 2 })).toBe(1);
  });
});
