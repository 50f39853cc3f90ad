/** Printed values beside each other: each runs as it was printed, their row as the language runs. */
import { Fragment } from "preact";
import { between } from "../words/lists";

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
