// @vitest-environment happy-dom
import { h, render } from "preact";
import { expect, test } from "vitest";
import { Sentence } from "../src/ui/sentence";

function shown(text: string): { text: string; whole: string[] } {
  const place = document.createElement("p");
  render(h(Sentence, { text }), place);
  return { text: place.textContent, whole: [...place.querySelectorAll(".unbroken")].map((part) => part.textContent) };
}

test("a printed number in a sentence stays on one line, and no letter is lost", () => {
  const says = "The approval number is TC-84A-9621 on the facepiece and TC-84A-9642 on the box.";
  expect(shown(says)).toEqual({ text: says, whole: ["TC-84A-9621", "TC-84A-9642"] });
});

test("a word with a dash and a very long number may break", () => {
  const says = "A look-alike of LA-2014-0123-45678901.";
  expect(shown(says)).toEqual({ text: says, whole: [] });
});
