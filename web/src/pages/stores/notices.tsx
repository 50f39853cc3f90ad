/** Notices on a lot: whom to tell, in which words, and what came back. */
import { useState } from "preact/hooks";
import { record } from "../../api";
import type { MovementKind, RecallOut } from "../../generated/api";
import { newId } from "../../ids";
import { Problem, useSigned } from "../../ui/common";
import { day } from "../../words";
import { w, wn } from "./words";

export function Notices({ recalls, again }: { recalls: RecallOut[]; again: () => void }) {
  return (
    <>
      {recalls.map((recall) => (
        <Notice key={recall.recall_id} recall={recall} again={again} />
      ))}
    </>
  );
}

function Notice({ recall, again }: { recall: RecallOut; again: () => void }) {
  const [problem, setProblem] = useState<unknown>(null);
  const [why, setWhy] = useState("");
  const { sheet, signed } = useSigned();
  const keep = (kind: MovementKind, more: { recipient?: string; words?: string }) =>
    signed(() => {
      const body = { id: newId(), kind, lot: recall.lot, recall: recall.recall_id, ...more };
      record("/stock", body).then(again, setProblem);
    });
  return (
    <section class="stack" aria-label={w("recall.title")}>
      <h3>
        {w("recall.title")}: {wn("recall.kind", recall.notice)} · {day(recall.on)}
        {recall.ended && ` · ${w("recall.ended")}`}
      </h3>
      {recall.words !== "" && <p>“{recall.words}”</p>}
      <p>
        <b>
          {w("recall.count", {
            out: recall.out,
            back: recall.recovered,
            used: recall.used_up,
            left: recall.unaccounted,
          })}
        </b>
      </p>
      {recall.asked.length === 0 && <p>{w("recall.nobody")}</p>}
      {recall.asked.map((one) => (
        <details key={one.recipient}>
          <summary>
            {w("recall.message", { who: one.recipient })} · {w("stock.pieces", { n: one.pieces })}
            {one.told && ` · ${w("recall.told")}`}
          </summary>
          <p style={{ whiteSpace: "pre-line" }}>{one.message}</p>
          {!one.told && !recall.ended && (
            <button type="button" class="button" onClick={() => keep("told", { recipient: one.recipient })}>
              {w("recall.tell")}
            </button>
          )}
        </details>
      ))}
      {!recall.ended && (
        <details>
          <summary>{w("recall.end")}</summary>
          <label class="field">
            {w("stock.words")}
            <input type="text" maxLength={2000} value={why} onInput={(event) => setWhy(event.currentTarget.value)} />
          </label>
          <button type="button" class="button" onClick={() => keep("call_ended", { words: why })}>
            {w("recall.end")}
          </button>
        </details>
      )}
      {problem !== null && <Problem of={problem} />}
      {sheet}
    </section>
  );
}
