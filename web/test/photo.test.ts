import { describe, expect, it } from "vitest";
import { around } from "../src/ui/photo";

describe("the outline of a line of print", () => {
  it("runs beside the letters on every side", () => {
    expect(around([[10, 10], [50, 10], [50, 20], [10, 20]], 2)).toEqual([[8, 8], [52, 8], [52, 22], [8, 22]]);
  });

  it("of a line that was read at a point stays where it is", () => {
    expect(around([[5, 5], [5, 5], [5, 5], [5, 5]], 2)).toEqual([[5, 5], [5, 5], [5, 5], [5, 5]]);
  });
});
