/** What how many units of the sample show, each with its count; nothing is added up. */
import type { Consignment } from "../../types";
import { named } from "../../words";
import { Sentence } from "../sentence";
import { Shape } from "../shapes";

export function Counted({ of }: { of: Consignment["counted"] }) {
  return (
    <ul class="rows" hidden={of.length === 0}>
      {of.map((one) => (
        <li class="slip" key={one.says}>
          <Shape of={one.severity} label={named("kind", one.severity)} />
          <p>
            <Sentence text={one.says} />
          </p>
        </li>
      ))}
    </ul>
  );
}
