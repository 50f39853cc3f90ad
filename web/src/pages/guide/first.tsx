/** Three steps with an invented sample, drawn by the page: nothing is kept or sent, and no network is needed. */
import { useState } from "preact/hooks";
import { go } from "../../route";
import { guided } from "../../settings";
import { Frame, Outcome } from "../../ui/common";
import { w } from "../../words/guide";
import { inARow } from "../../words/lists";

const print = ["VEXHOLM", "VX-2100", "NIOSH N95", "TC-84A-962"];

function Ink({ lines, worn, alt }: { lines: string[]; worn: boolean; alt: string }) {
  const high = 34 * lines.length + 24;
  const last = high - 26;
  return (
    <svg class="drawn" viewBox={`0 0 300 ${high}`} role="img" aria-label={alt}>
      <rect width="300" height={high} rx="6" class="cloth" />
      {lines.map((line, place) => (
        <text key={line} x={worn ? 135 : 150} y={34 * (place + 1) + 4} text-anchor="middle">
          {line}
        </text>
      ))}
      {worn ? (
        <path d={`M228 ${last - 2}v9M232 ${last + 4}v4`} class="stroke" />
      ) : (
        <path d={`M8 8h284M8 ${high - 8}h284`} class="line" />
      )}
    </svg>
  );
}

export function FirstSteps() {
  const [step, setStep] = useState(1);
  const [said, setSaid] = useState("");
  const leave = (to: string) => {
    guided.value = true;
    go(to);
  };
  const onward = () => {
    setStep(step + 1);
    // a step begins at its heading, however far down the button of the one before was
    window.scrollTo(0, 0);
  };
  const title = w(`first.${step as 1 | 2 | 3}.title`);
  return (
    <Frame title={w("first.title")}>
      <p class="soft">{w("first.step", { n: step })}</p>
      <h1>{title}</h1>
      {step === 1 && (
        <>
          <Ink lines={print} worn={false} alt={w("first.1.alt", { print: inARow(print) })} />
          <p>{w("first.1.what")}</p>
        </>
      )}
      {step === 2 && (
        <>
          <Ink lines={["TC-84A-962"]} worn alt={w("first.2.alt")} />
          <p>{w("first.2.what")}</p>
          <div class="pair">
            {["1", "7"].map((letter) => (
              <button
                key={letter}
                type="button"
                class="button ink"
                aria-pressed={said === letter}
                onClick={() => setSaid(letter)}
              >
                {letter}
              </button>
            ))}
            <button type="button" class="button" aria-pressed={said === "?"} onClick={() => setSaid("?")}>
              {w("first.2.unread")}
            </button>
          </div>
          <p role="status" class={said === "" ? undefined : "notice"}>
            {said !== "" && w(said === "?" ? "first.2.good" : "first.2.again")}
          </p>
        </>
      )}
      {step === 3 && (
        <>
          <Outcome state="cannot_tell" level={2}>
            <div class="why">
              <p>{w("first.3.why")}</p>
              <p>{w("first.3.next")}</p>
            </div>
          </Outcome>
          <p>{w("first.3.what")}</p>
        </>
      )}
      <div class="pair">
        <button type="button" class="button main" onClick={() => (step === 3 ? leave("take") : onward())}>
          {w(step === 3 ? "first.end" : "first.next")}
        </button>
        {step < 3 && (
          <button type="button" class="button quiet" onClick={() => leave("")}>
            {w("first.skip")}
          </button>
        )}
      </div>
      <p class="hint">{w("first.what")}</p>
    </Frame>
  );
}
