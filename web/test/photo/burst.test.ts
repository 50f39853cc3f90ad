import { describe, expect, it } from "vitest";
import { best } from "../../src/photo/burst";
import type { Looked } from "../../src/photo/look";

function looked(blur: number, ...poor: ("blur" | "glare")[]): Looked {
  const state = (fact: "blur" | "glare") => (poor.includes(fact) ? "poor" : "good");
  return {
    width: 1,
    height: 1,
    took: 1,
    quality: [
      { fact: "blur", state: state("blur"), value: blur },
      { fact: "glare", state: state("glare"), value: 0 },
    ],
  };
}

describe("of several photos in a row", () => {
  it("the sharpest is put forward", () => {
    expect(best([looked(1.9), looked(1.1), looked(1.4)])).toBe(1);
  });
  it("a fault that is named weighs more than sharpness", () => {
    expect(best([looked(0.9, "glare"), looked(1.8)])).toBe(1);
  });
  it("the first stays where no other is better", () => {
    expect(best([looked(1.2), looked(1.2)])).toBe(0);
    expect(best([null, null])).toBe(0);
  });
  it("one that was looked at stands before one that was not", () => {
    expect(best(["looking", null, looked(3, "blur", "glare")])).toBe(2);
  });
});
