import { describe, expect, it } from "vitest";
import { byCarton, cartonOf, unheard } from "../src/pages/units/walking";

describe("the walk list", () => {
  it("goes carton by carton, numbers by their size, whatever the order of the draw", () => {
    const drawn = ["LOT-A/C10/U1", "LOT-A/C2/U11", "LOT-B/C1/U1", "LOT-A/C2/U9"].map((place) => ({ place }));
    expect(byCarton(drawn).map(({ place }) => place)).toEqual([
      "LOT-A/C2/U9",
      "LOT-A/C2/U11",
      "LOT-A/C10/U1",
      "LOT-B/C1/U1",
    ]);
    expect(cartonOf({ place: "LOT-A/C2/U9" })).toBe("LOT-A/C2");
    expect(cartonOf({ place: "7" })).toBe("");
  });

  it("shows the last word of this phone that the server does not have yet, and no other consignment's", () => {
    const path = "/consignments/a/picked";
    const word = (id: string, place: string, picked: boolean, more: object = {}) => ({
      id,
      path: `/api${path}?lang=en`,
      state: "waiting" as const,
      made_at: `2026-11-25T09:0${id}:00Z`,
      body: { place, picked },
      ...more,
    });
    const parcels = [
      word("2", "C1/U1", false),
      word("1", "C1/U1", true),
      word("3", "C1/U2", true, { state: "sent" as const }),
      word("4", "C1/U3", true, { path: "/api/consignments/b/picked?lang=en" }),
      word("5", "C1/U4", true, { state: "refused" as const }),
    ];
    expect([...unheard(parcels, path, null)]).toEqual([["C1/U1", false]]);
    // a copy that was kept before the third word was said does not have it
    expect(unheard(parcels, path, "2026-11-25T09:02:30Z").get("C1/U2")).toBe(true);
    expect(unheard(parcels, path, "2026-11-25T09:04:00Z").has("C1/U2")).toBe(false);
  });
});
