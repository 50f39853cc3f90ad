/** Print in the words of the page: a number in a sentence, and values beside each other. */
import { Fragment } from "preact";
import { between } from "../words/lists";

/** Longer ones may break: on a narrow screen with large letters they would push the page wide. */
const longest = 14;
const joined = /([A-Z0-9]+(?:[-/.:][A-Z0-9]+)+)/;

/** A printed number stays on one line: broken at its dash it is harder to compare. */
export function Sentence({ text }: { text: string }) {
  return (
    <>
      {text.split(joined).map((part, place) =>
        place % 2 === 1 && part.length <= longest ? (
          <span key={place} class="unbroken">
            {part}
          </span>
        ) : (
          part
        ),
      )}
    </>
  );
}

/** Printed values beside each other: each runs as it was printed, their row as the language runs. */
export function Inks({ of, sign = "," }: { of: readonly string[]; sign?: "," | "·" }) {
  return (
    <>
      {of.map((value, place) => (
        <Fragment key={`${place}${value}`}>
          {place > 0 && between(sign)}
          <span class="ink">{value}</span>
        </Fragment>
      ))}
    </>
  );
}
