import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";

const folder = new URL("../src/words/", import.meta.url);
const read = (name: string) => JSON.parse(readFileSync(new URL(name, folder), "utf8"));
const own = readdirSync(folder).filter((name) => name.endsWith(".json"));
const files = Object.fromEntries(
  own.map((name) => [name.slice(0, 2), { ...read(`shared/${name}`), ...read(name) }]),
) as Record<string, Record<string, string> & { _about: unknown }>;
const keys = (words: object) =>
  Object.keys(words)
    .filter((key) => key !== "_about")
    .sort();
const places = (sentence: string) => (sentence.match(/\{\w+\}/g) ?? []).sort();

describe("words of every language", () => {
  it("are the six that are promised", () => {
    expect(Object.keys(files).sort()).toEqual(["ar", "en", "es", "fr", "hi", "pt"]);
  });

  it("stand in one place: what reports share is not worded by the page again", () => {
    for (const name of own) {
      const shared = read(`shared/${name}`);
      expect(Object.keys(read(name)).filter((key) => key in shared)).toEqual([]);
    }
  });

  for (const [code, words] of Object.entries(files)) {
    it(`${code}: misses no key and has none too many`, () => {
      expect(keys(words)).toEqual(keys(files["en"]!));
    });

    it(`${code}: fills the same places in each sentence`, () => {
      const wrong = keys(words).filter((key) => places(words[key]!).join() !== places(files["en"]![key]!).join());
      expect(wrong).toEqual([]);
    });

    it(`${code}: has no empty sentence`, () => {
      expect(keys(words).filter((key) => words[key]!.trim() === "")).toEqual([]);
    });

    it(`${code}: denies once what a photo cannot prove`, () => {
      const denial = {
        en: "Not proof of authenticity",
        es: "No es prueba de autenticidad",
        fr: "Pas une preuve d'authenticité",
        pt: "Não é prova de autenticidade",
        hi: "प्रामाणिकता का प्रमाण नहीं",
        ar: "ليس دليلا على الأصالة",
      };
      expect(words["caveat.short"]).toContain(denial[code as keyof typeof denial]);
    });

    it(`${code}: says who made it and whether anybody who knows has read it`, () => {
      expect(words._about).toMatchObject({
        language: code,
        made_by: expect.stringMatching(/^(person|machine)$/),
        reviewed_by: expect.any(String),
      });
    });
  }

  it("name every mark that a rules file names", () => {
    const rules = new URL("../../rules/", import.meta.url);
    const texts = readdirSync(rules, { recursive: true, encoding: "utf8" })
      .filter((name) => name.endsWith(".yaml") && !name.startsWith("messages"))
      .map((name) => readFileSync(new URL(name, rules), "utf8"));
    const marks = new Set(texts.flatMap((text) => [...text.matchAll(/\bmark: (\w+)/g)].map((found) => found[1]!)));
    expect(marks.size).toBeGreaterThan(30);
    expect([...marks].filter((mark) => !(`mark.${mark}` in files["en"]!))).toEqual([]);
  });
});

describe("the page's style", () => {
  it("says start and end, not left and right, so that it can be turned round", () => {
    const style = ["base", "parts"]
      .map((name) => readFileSync(new URL(`../src/style/${name}.css`, import.meta.url), "utf8"))
      .join("");
    const sided =
      /(?:margin|padding|border|inset|scroll-margin)-(?:left|right)|[;{]\s*(?:left|right|width|height|min-width|max-width)\s*:|text-align:\s*(?:left|right)|float:/g;
    expect(style.match(sided)).toBeNull();
    expect("a{margin-left:1px}").toMatch(sided);
  });
});

describe("the page's source", () => {
  const source = new URL("../src/", import.meta.url);
  const sources = readdirSync(source, { recursive: true, encoding: "utf8" })
    .filter((file) => file.endsWith(".tsx"))
    .map((file) => readFileSync(new URL(file, source), "utf8"));

  it("asks for no key that is not there", () => {
    const asked = sources.flatMap((source) => [...source.matchAll(/\bt\("([\w.]+)"/g)].map((found) => found[1]!));
    expect(asked.length).toBeGreaterThan(100);
    expect(asked.filter((key) => !(key in files["en"]!))).toEqual([]);
  });
});
