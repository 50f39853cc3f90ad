/** The short number of a consignment: the same vectors as the server's test. */
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { numberOf } from "../src/number";

const vectors = JSON.parse(readFileSync("../tests/intake/numbers.json", "utf-8")) as { id: string; number: string }[];

test.each(vectors)("the number of $id is made of the id alone", ({ id, number }) => {
  expect(numberOf(id)).toBe(number);
});
