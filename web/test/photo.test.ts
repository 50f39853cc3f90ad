import { describe, expect, it } from "vitest";
import { around } from "../src/ui/marks/photo";

describe("the outline of a line of print", () => {
  it("runs beside the letters on every side", () => {
    expect(
      around(
        [
          [10, 10],
          [50, 10],
          [50, 20],
          [10, 20],
        ],
        2,
      ),
    ).toEqual([
      [8, 8],
      [52, 8],
      [52, 22],
      [8, 22],
    ]);
  });

  it("keeps a side straight that has a corner in its middle", () => {
    expect(
      around(
        [
          [10, 10],
          [30, 10],
          [50, 10],
          [50, 20],
          [10, 20],
        ],
        2,
      ),
    ).toEqual([
      [8, 8],
      [30, 8],
      [52, 8],
      [52, 22],
      [8, 22],
    ]);
  });

  it("runs outside whichever way round the corners are given", () => {
    expect(
      around(
        [
          [10, 20],
          [50, 20],
          [50, 10],
          [10, 10],
        ],
        2,
      ),
    ).toEqual([
      [8, 22],
      [52, 22],
      [52, 8],
      [8, 8],
    ]);
  });

  it("of a line that was read at a point is nothing", () => {
    expect(
      around(
        [
          [5, 5],
          [5, 5],
          [5, 5],
        ],
        2,
      ),
    ).toEqual([]);
  });
});
