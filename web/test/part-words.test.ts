import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";

const words = new URL("../src/words/", import.meta.url);
const pages = new URL("../src/pages/", import.meta.url);
const spoken = readdirSync(words)
  .filter((name) => name.endsWith(".json"))
  .map((name) => name.slice(0, 2));
const places = (sentence: string) => (sentence.match(/\{\w+\}/g) ?? []).sort().join();

/** Parts of the page with words of their own, and how many keys at least the pages of that name ask for. */
const parts = { units: 5, stores: 50, guide: 5, leaving: 5 };

for (const [part, least] of Object.entries(parts))
  describe(`words of ${part}`, () => {
    const folder = new URL(`${part}/`, words);
    const files = Object.fromEntries(
      readdirSync(folder).map((name) => [name.slice(0, 2), JSON.parse(readFileSync(new URL(name, folder), "utf8"))]),
    ) as Record<string, Record<string, string>>;
    const english = files["en"]!;

    it("are there in the languages of the page", () => {
      expect(Object.keys(files).sort()).toEqual(spoken.sort());
      expect(spoken).toEqual(["ar", "en", "es", "fr", "hi", "pt"]);
    });

    for (const [code, said] of Object.entries(files)) {
      it(`${code}: has every key, none empty, and fills the same places`, () => {
        expect(Object.keys(said).sort()).toEqual(Object.keys(english).sort());
        expect(Object.keys(said).filter((key) => said[key]!.trim() === "")).toEqual([]);
        expect(Object.keys(said).filter((key) => places(said[key]!) !== places(english[key]!))).toEqual([]);
      });
    }

    it("are all that the pages ask for", () => {
      const own = new URL(`${part}/`, pages);
      const sources = readdirSync(own).map((name) => readFileSync(new URL(name, own), "utf8"));
      const asked = sources.flatMap((source) => [...source.matchAll(/\bw\(\s*"([\w.]+)"/g)].map((found) => found[1]!));
      expect(asked.length).toBeGreaterThan(least);
      expect(asked.filter((key) => !(key in english))).toEqual([]);
    });
  });
