/** What findings rest on beside the print, asked before the photo is kept; nothing is answered for the person. */
import type { Surface } from "../../types";
import { Choices, Toggle } from "../../ui/common";
import { named } from "../../words";
import { w } from "./words";

/** Answers to what is looked at on the mask itself; "" is not looked at. */
export interface Seen {
  fastening: "" | "head_straps" | "ear_loops";
  valve: "" | "valve" | "no_valve";
  more: string[];
}

export const nothingSeen: Seen = { fastening: "", valve: "", more: [] };

const more = ["decorated", "second_sticker", "agency_logo_seen", "maker_logo_seen"] as const;

const ofMask = (surface: Surface) => surface === "facepiece" || surface === "strap";

/** The words that are declared of a photo: straps and valve are looked at on the mask alone. */
export function declaredOf({ fastening, valve, more: others }: Seen, surface: Surface): string[] {
  return [...(ofMask(surface) ? [fastening, valve].filter((word) => word !== "") : []), ...others];
}

export function Looks({ seen, surface, change }: { seen: Seen; surface: Surface; change: (seen: Seen) => void }) {
  return (
    <>
      {ofMask(surface) && (
        <>
          <Choices
            legend={w("fastening")}
            name="fastening"
            value={seen.fastening}
            change={(fastening) => change({ ...seen, fastening })}
            options={[
              { value: "head_straps", label: w("fastening.head_straps") },
              { value: "ear_loops", label: w("fastening.ear_loops") },
              { value: "", label: w("not_looked") },
            ]}
          />
          <Choices
            legend={w("valve")}
            name="valve"
            value={seen.valve}
            change={(valve) => change({ ...seen, valve })}
            options={[
              { value: "valve", label: w("valve.valve") },
              { value: "no_valve", label: w("valve.no_valve") },
              { value: "", label: w("not_looked") },
            ]}
          />
        </>
      )}
      <details open={seen.more.length > 0}>
        <summary>{w("seen.more")}</summary>
        <div class="choices">
          {more.map((one) => (
            <Toggle
              key={one}
              label={named("declared", one)}
              on={seen.more.includes(one)}
              change={(on) =>
                change({ ...seen, more: on ? [...seen.more, one] : seen.more.filter((other) => other !== one) })
              }
            />
          ))}
        </div>
      </details>
    </>
  );
}
