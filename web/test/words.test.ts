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

/**
 * Words that judge. From the job map of this project, section 6.1 (English), and the words that say
 * the same in the other languages, from memory. A noun that a standard uses (certificate, approval
 * number) is not among them; the adjective is.
 */
const verdicts: Record<string, RegExp> = {
  en: /\b(authentic|genuine|real|legit\w*|original|fakes?|counterfeit\w*|falsified|fraud\w*|scam|safe\w*|unsafe|pass(es|ed)?|fail\w*|certified|approved|verified|guarantee\w*|cleared|ok(ay)?)\b/iu,
  es: /(?<!\p{L})(auténtic[oa]s?|genuin[oa]s?|verdader[oa]s?|legítim[oa]s?|original(es)?|fals[oa]s?|falsificad[oa]s?|fraud\p{L}*|estafa|segur[oa]s?|insegur[oa]s?|aprobad[oa]s?|verificad[oa]s?|garanti\p{L}*|certificad[oa]s (por|como)|fallad[oa]s?|ok)(?!\p{L})/iu,
  fr: /(?<!\p{L})(authentiques?|véritables?|vrais?|vraies?|légitimes?|origina(l|ux|les?)|faux|fausses?|contrefai\p{L}*|contrefaçon|falsifié\p{L}*|fraud\p{L}*|arnaque|sûr(e|s|es)?|approuvé\p{L}*|vérifié\p{L}*|garanti\p{L}*|certifié\p{L}*|réussi\p{L}*|échoué\p{L}*|ok)(?!\p{L})/iu,
  pt: /(?<!\p{L})(autêntic[oa]s?|genuín[oa]s?|verdadeir[oa]s?|legítim[oa]s?|origina(l|is)|fals[oa]s?|falsificad[oa]s?|fraud\p{L}*|burla|segur[oa]s?|insegur[oa]s?|aprovad[oa]s?|verificad[oa]s?|garanti\p{L}*|reprovad[oa]s?|ok)(?!\p{L})/iu,
  hi: /(असली|नकली|प्रामाणिक(?!ता)|सुरक्षित|असुरक्षित|जाली|फ़र्ज़ी|फर्जी|धोखा|अनुमोदित|स्वीकृत|सत्यापित|गारंटी|प्रमाणित|पास(?= हो| हुआ)|फ़ेल|फेल|ओके)/u,
};

describe("words of every language", () => {
  it("are the five that are promised", () => {
    expect(Object.keys(files).sort()).toEqual(["en", "es", "fr", "hi", "pt"]);
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

    it(`${code}: judges nothing`, () => {
      const judged = keys(words).filter((key) => verdicts[code]!.test(words[key]!));
      expect(judged).toEqual([]);
    });

    it(`${code}: denies once what a photo cannot prove`, () => {
      const denial = {
        en: "Not proof of authenticity",
        es: "No es prueba de autenticidad",
        fr: "Pas une preuve d'authenticité",
        pt: "Não é prova de autenticidade",
        hi: "प्रामाणिकता का प्रमाण नहीं",
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
    const texts = readdirSync(rules)
      .filter((name) => name.endsWith(".yaml"))
      .map((name) => readFileSync(new URL(name, rules), "utf8"));
    const marks = new Set(texts.flatMap((text) => [...text.matchAll(/\bmark: (\w+)/g)].map((found) => found[1]!)));
    expect(marks.size).toBeGreaterThan(30);
    expect([...marks].filter((mark) => !(`mark.${mark}` in files["en"]!))).toEqual([]);
  });

  it("finds a verdict where there is one", () => {
    for (const [code, bad] of Object.entries({
      en: "It is genuine.",
      es: "Es auténtica.",
      fr: "C'est un faux.",
      pt: "É seguro.",
      hi: "यह असली है",
    })) {
      expect(verdicts[code]!.test(bad), bad).toBe(true);
    }
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
  const sources = ["pages", "ui", "."].flatMap((name) =>
    readdirSync(new URL(`../src/${name}/`, import.meta.url))
      .filter((file) => file.endsWith(".tsx"))
      .map((file) => readFileSync(new URL(`../src/${name}/${file}`, import.meta.url), "utf8")),
  );

  it("asks for no key that is not there", () => {
    const asked = sources.flatMap((source) => [...source.matchAll(/\bt\("([\w.]+)"/g)].map((found) => found[1]!));
    expect(asked.length).toBeGreaterThan(100);
    expect(asked.filter((key) => !(key in files["en"]!))).toEqual([]);
  });

  it("holds no verdict word between its tags", () => {
    const texts = sources
      .flatMap((source) => [...source.matchAll(/>([^<>{}=;()]+)</g)].map((found) => found[1]!.trim()))
      .filter((words) => /\p{L}{3}/u.test(words));
    expect(texts.filter((words) => verdicts["en"]!.test(words))).toEqual([]);
  });
});
