/** A sentence in which a printed number stays on one line: broken at its dash it is harder to compare. */

/** Longer ones may break: on a narrow screen with large letters they would push the page wide. */
const longest = 14;
const joined = /([A-Z0-9]+(?:[-/.:][A-Z0-9]+)+)/;

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
