import { describe, expect, it } from "vitest";
import { language } from "../src/settings";
import type { Finding } from "../src/types";
import { merged } from "../src/ui/unit/merged";

const says = (mark: string) =>
  `Not seen with a label in what was photographed (facepiece): ${mark}. Print is left that could be it, so say what it is.`;
const missing = (mark: string, sentence = says(mark), more: Partial<Finding> = {}) =>
  ({
    rule: "print-left-could-be-it",
    severity: "missing",
    values: { mark, surface: "facepiece", rule: `${mark}-missing` },
    marks: [mark],
    says: sentence,
    ...more,
  }) as Finding;
const told = (findings: Finding[]) => merged(findings, () => false).map((row) => row.says);

describe("findings that say the same of several marks", () => {
  it("stand as one sentence that names each mark, and keep each finding behind it", () => {
    const both = merged([missing("name of the maker"), missing("model")], () => false);
    expect(both.map((row) => row.says)).toEqual([says("name of the maker; model")]);
    expect(both[0]!.of.map((one) => one.marks[0])).toEqual(["name of the maker", "model"]);
  });

  it("set each value apart where print runs from right to left, with that language's sign between", () => {
    language.value = "ar";
    const says = (ink: string) => `لم يُرَ فيما صُوّر على الوجه: \u2066${ink}\u2069. انظر إليه من فضلك.`;
    const both = told([missing("one", says("CE 299")), missing("two", says("NR"))]);
    language.value = "";
    expect(both).toEqual([says("CE 299\u2069؛ \u2066NR")]);
  });

  it("cut no word in two where the names end alike", () => {
    expect(told([missing("model"), missing("label"), missing("level")])).toEqual([says("model; label; level")]);
  });

  it("stay apart where they are of other rules, other values, or share too few words", () => {
    const other = missing("model", says("model"), { rule: "class-missing" });
    const box = missing("model", says("model"), { values: { mark: "model", surface: "box", rule: "m" } });
    const short = missing("model", "The model is not there.");
    for (const second of [other, box, short])
      expect(told([missing("lot"), second])).toEqual([says("lot"), second.says]);
  });

  it("stay apart where one has ink of its own beside it", () => {
    expect(merged([missing("lot"), missing("model")], () => true)).toHaveLength(2);
  });
});
