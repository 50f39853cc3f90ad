import { afterEach, describe, expect, it } from "vitest";
import { language } from "../src/settings";
import { inARow, inSentence, takenApart } from "../src/words/lists";

/** A value set apart in a sentence from right to left (UAX #9, Unicode 15.1, 2.4). */
const apart = (value: string) => `\u2066${value}\u2069`;
const [one, two, three] = ["VX-2100", "N95", "L 4417"] as const;

afterEach(() => {
  language.value = "";
});

describe("a list", () => {
  // Unicode CLDR, listPatterns, type standard (from memory); U+060C and U+061B are the Arabic comma and semicolon.
  it.each([
    ["", "a, b and c", "a; b"],
    ["en", "a, b and c", "a; b"],
    ["es", "a, b y c", "a; b"],
    ["fr", "a, b et c", "a; b"],
    ["pt", "a, b e c", "a; b"],
    ["hi", "a, b और c", "a; b"],
    ["ar", `${apart("a")} و${apart("b")} و${apart("c")}`, `${apart("a")}\u061b ${apart("b")}`],
  ])("is written as the language writes it: '%s'", (code, sentence, row) => {
    language.value = code;
    // CLDR had no comma before the last in Hindi and has one now
    expect(inSentence(["a", "b", "c"]).replace(", और", " और")).toBe(sentence);
    expect(inARow(["a", "b"], ";")).toBe(row);
  });

  it.each(["en", "es", "fr", "pt", "hi", "ar"])("of one or of none has no sign in it: %s", (code) => {
    language.value = code;
    for (const list of [inSentence, inARow]) {
      expect(list(["عدد"])).toBe("عدد");
      expect(list([])).toBe("");
    }
  });

  it("of print from right to left sets each value apart, and no word in Arabic letters", () => {
    language.value = "ar";
    expect(inARow([one, "قناع", two])).toBe(`${apart(one)}، قناع، ${apart(two)}`);
    expect(inARow([one, "", null, three], "·")).toBe(`${apart(one)} · ${apart(three)}`);
    // a list in a list is apart already
    expect(inARow([inARow([one, two]), three], ";")).toBe(`${apart(one)}، ${apart(two)}؛ ${apart(three)}`);
  });
});

describe("what is typed as a list", () => {
  it("may have the signs of any keyboard between", () => {
    for (const typed of ["L1, L2;L3", "L1، L2؛ L3", "L1\nL2\n\nL3,"])
      expect(takenApart(typed)).toEqual(["L1", "L2", "L3"]);
  });
});
