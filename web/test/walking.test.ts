import { describe, expect, it } from "vitest";
import { byCarton, cartonOf } from "../src/pages/units/walking";

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
});
