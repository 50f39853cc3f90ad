import { describe, expect, it } from "vitest";
import { letters, lettersIn, mapping } from "../src/holders/mapping";

describe("columns of a table of others", () => {
  it("are lettered as spreadsheets letter them", () => {
    expect([0, 25, 26, 51, 52, 701, 702].map(letters)).toEqual(["A", "Z", "AA", "AZ", "BA", "ZZ", "AAA"]);
  });

  it("are found in the name that the server gives them, brackets in the header or not", () => {
    expect(lettersIn("'Holder (legal name)' (AB)")).toBe("AB");
    expect(lettersIn("approval_number")).toBe("");
  });

  it("go by letters, with the row of the header, and values that hold for every row apart", () => {
    const asked = mapping({ holder: { column: "C" }, scheme: { value: "eu-en149" } }, 3);
    expect(JSON.parse(asked)).toEqual({ columns: { holder: "#C" }, fixed: { scheme: "eu-en149" }, header_row: 3 });
  });

  it("leave the row of the header to the server where none is known", () => {
    expect(JSON.parse(mapping({}, 0))).toEqual({ columns: {}, fixed: {} });
  });
});
