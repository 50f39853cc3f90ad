/** One thing that left the house, or came back. */
import { useState } from "preact/hooks";
import { may } from "../../access";
import { ask } from "../../api";
import type { DispatchOut as Dispatch } from "../../generated/api";
import { newId } from "../../ids";
import { Problem, SignedForm } from "../../ui/common";
import { day } from "../../words";
import { inARow } from "../../words/lists";
import { w, wn } from "./words";

export interface Doing {
  id: string;
  done: () => void;
}

function Correct({ id, of, done }: Doing & { of: string }) {
  const [note, setNote] = useState("");
  const [problem, setProblem] = useState<unknown>(null);
  const correct = () =>
    ask(`/consignments/${id}/reports`, { id: newId(), recipients: [], corrects: of, note }).then(done, setProblem);
  return (
    <SignedForm class="stack" write={() => void correct()}>
      <label class="field">
        {w("correct.what")}
        <input
          type="text"
          required
          minLength={3}
          value={note}
          onInput={(event) => setNote(event.currentTarget.value)}
        />
      </label>
      {problem !== null && <Problem of={problem} />}
      <button type="submit" class="button">
        {w("correct")}
      </button>
    </SignedForm>
  );
}

export function Row({ id, row, done }: Doing & { row: Dispatch }) {
  return (
    <li class="slip">
      <details>
        <summary>
          {wn("kind", row.kind)} · {inARow(row.recipients.map((one) => one.name))} · {day(row.on)}
        </summary>
        <p class="small soft">{w("by", { name: row.by.name })}</p>
        {row.corrected_by !== null && <p>{w("corrected")}</p>}
        {row.note !== "" && <p>{row.note}</p>}
        {row.recipients
          .filter((one) => one.contact !== "")
          .map((one) => (
            <p class="small" key={one.name}>
              {w("contact")}: {wn("contact", one.contact)}
            </p>
          ))}
        {row.text !== "" && <p style={{ whiteSpace: "pre-wrap" }}>{row.text}</p>}
        {row.originals && <p>{w("originals.yes")}</p>}
        {row.attachments.map((file, place) => (
          <a class="button" key={file.name} href={`/api/dispatches/${row.dispatch_id}/files/${place}`} download>
            {file.name}
          </a>
        ))}
        {row.kind === "report" && row.corrected_by === null && may("screener", "releaser") && (
          <Correct id={id} of={row.dispatch_id} done={done} />
        )}
      </details>
    </li>
  );
}
