/** Which kind goes into which bin, in pictures (common practice, no source). */
import type { JSX } from "preact";
import { BinShape } from "../../ui/shapes";
import { named } from "../../words";
import { w } from "./words";

const line = { fill: "none", stroke: "currentColor", "stroke-width": 2.5 } as const;
const cup = "M29 20c2-9 36-9 38 0 9 12 3 34-19 40-22-6-28-28-19-40z";
const loops = "M27 26C4 20 4 54 30 46M69 26c23-6 23 28-3 20";
const nose = <path d="M38 16c6-2 14-2 20 0" stroke="currentColor" stroke-width="5" fill="none" />;
const print = <path d="M38 34h20M38 41h20M42 48h12" {...line} />;

interface Kind {
  name: "respirator" | "medical" | "ear_loop" | "child" | "dust";
  /** Where what looks so goes: a respirator by how it is packed. */
  into: string[];
  drawn: JSX.Element;
}

const kinds: Kind[] = [
  {
    name: "respirator",
    into: ["sealed", "opened", "loose"],
    drawn: (
      <>
        <path d={cup} {...line} />
        <path d="M27 25C13 22 8 12 6 3M69 25c14-3 19-13 21-22M28 45C16 47 9 58 6 69M68 45c12 2 19 13 22 24" {...line} />
        {nose}
        {print}
      </>
    ),
  },
  {
    name: "medical",
    into: ["medical"],
    drawn: (
      <>
        <path d="M24 20h48v32H24zM24 28h48M24 36h48M24 44h48" {...line} />
        <path d="M24 22C2 18 2 54 24 50M72 22c22-4 22 32 0 28" {...line} />
      </>
    ),
  },
  {
    name: "ear_loop",
    into: ["ear_loop"],
    drawn: (
      <>
        <path d={cup} {...line} />
        <path d={loops} {...line} />
        {nose}
        {print}
      </>
    ),
  },
  {
    name: "child",
    into: ["child"],
    drawn: (
      <>
        <path d={cup} {...line} stroke-dasharray="4 4" />
        <path d="M38 34c1-5 19-5 20 0 5 7 1 19-10 22-11-3-15-15-10-22z" {...line} />
      </>
    ),
  },
  {
    name: "dust",
    into: ["not_sure"],
    drawn: (
      <>
        <path d={cup} {...line} />
        <path d="M26 32C12 29 8 18 6 9M70 32c14-3 18-14 20-23" {...line} />
      </>
    ),
  },
];

export function PictureKey() {
  return (
    <details class="sheet">
      <summary>{w("key.title")}</summary>
      <ul class="rows">
        {kinds.map(({ name, into, drawn }) => (
          <li key={name} class="slip">
            <svg width="96" height="72" viewBox="0 0 96 72" aria-hidden="true" focusable="false">
              {drawn}
            </svg>
            <div>
              <p>{w(`key.${name}`)}</p>
              {into.map((bin) => (
                <p key={bin} class="slip">
                  <BinShape of={bin} /> <b>{named("bin", bin)}</b>
                </p>
              ))}
            </div>
          </li>
        ))}
      </ul>
    </details>
  );
}
