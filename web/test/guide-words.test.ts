import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";

const folder = new URL("../src/words/", import.meta.url);
const read = (name: string) => JSON.parse(readFileSync(new URL(`guide/${name}`, folder), "utf8"));
const spoken = readdirSync(folder).filter((name) => name.endsWith(".json"));
const english = read("en.json") as Record<string, string>;
const places = (sentence: string) => (sentence.match(/\{\w+\}/g) ?? []).sort().join();

describe("words of the first steps, of the codes and of the keys", () => {
  it("are there in every language of the page", () => {
    expect(readdirSync(new URL("guide/", folder)).sort()).toEqual(spoken.sort());
  });

  for (const name of spoken) {
    it(`${name}: has every key, none empty, and fills the same places`, () => {
      const words = read(name) as Record<string, string>;
      expect(Object.keys(words).sort()).toEqual(Object.keys(english).sort());
      expect(Object.keys(words).filter((key) => words[key]!.trim() === "")).toEqual([]);
      expect(Object.keys(words).filter((key) => places(words[key]!) !== places(english[key]!))).toEqual([]);
    });
  }
});
