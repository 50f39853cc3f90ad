import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";

const folder = new URL("../src/words/units/", import.meta.url);
const files = Object.fromEntries(
  readdirSync(folder).map((name) => [name.slice(0, 2), JSON.parse(readFileSync(new URL(name, folder), "utf8"))]),
) as Record<string, Record<string, string>>;
const english = files["en"]!;
const places = (sentence: string) => (sentence.match(/\{\w+\}/g) ?? []).sort().join();

describe("words of taking photos and of many units", () => {
  it("are there in the five languages", () => {
    expect(Object.keys(files).sort()).toEqual(["en", "es", "fr", "hi", "pt"]);
  });

  for (const [code, words] of Object.entries(files)) {
    it(`${code}: has every key, none empty, and fills the same places`, () => {
      expect(Object.keys(words).sort()).toEqual(Object.keys(english).sort());
      expect(Object.keys(words).filter((key) => words[key]!.trim() === "")).toEqual([]);
      expect(Object.keys(words).filter((key) => places(words[key]!) !== places(english[key]!))).toEqual([]);
    });
  }

  it("are all that the pages ask for", () => {
    const pages = new URL("../src/pages/units/", import.meta.url);
    const sources = readdirSync(pages).map((name) => readFileSync(new URL(name, pages), "utf8"));
    const asked = sources.flatMap((source) => [...source.matchAll(/\bw\(\s*"([\w.]+)"/g)].map((found) => found[1]!));
    expect(asked.length).toBeGreaterThan(5);
    expect(asked.filter((key) => !(key in english))).toEqual([]);
  });
});
