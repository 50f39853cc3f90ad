/** One movement, or a notice on a lot: written here, kept by the outbox, judged by the server. */
import { useState } from "preact/hooks";
import { record } from "../../api";
import { type MovementKind, movementKindValues, type NoticeKind, type Purpose } from "../../generated/api";
import { newId } from "../../ids";
import type { ConsignmentRows } from "../../types";
import { Choices, Problem, SignedForm } from "../../ui/common";
import { useGet } from "../../ui/load";
import { w, wn } from "./words";

/** A word on a notice stands beside the notice, not in this form. */
const kinds = movementKindValues.filter((kind) => kind !== "told" && kind !== "call_ended");
const fromHands: MovementKind[] = ["brought_back", "used_up"];

const empty = { consignment: "", lot: "", carton: "", pieces: "", place: "", to: "", recipient: "", words: "" };

export function MoveForm({ lot, done }: { lot: string; done: () => void }) {
  const [kind, setKind] = useState<MovementKind>("received");
  const [form, setForm] = useState({ ...empty, lot });
  const [purpose, setPurpose] = useState<Purpose>("protection");
  const [notice, setNotice] = useState<NoticeKind>("recall");
  const [problem, setProblem] = useState<unknown>(null);
  const [said, setSaid] = useState("");
  const { got } = useGet<ConsignmentRows>("/consignments");
  const ofNotice = kind === "called_back";
  const inHands = fromHands.includes(kind);
  const set = (key: keyof typeof form) => (event: Event) =>
    setForm({ ...form, [key]: (event.currentTarget as HTMLInputElement).value });
  const field = (key: keyof typeof form, label: string, more: Record<string, unknown> = {}) => (
    <label class="field">
      {label}
      <input type="text" maxLength={120} value={form[key]} onInput={set(key)} {...more} />
    </label>
  );
  const keep = async () => {
    setProblem(null);
    setSaid("");
    try {
      const { waiting } = await record("/stock", {
        id: newId(),
        kind,
        consignment_id: ofNotice ? null : form.consignment || null,
        lot: form.lot.trim(),
        carton: ofNotice ? "" : form.carton.trim(),
        pieces: ofNotice ? 0 : Number(form.pieces) || 0,
        place: ofNotice || inHands ? "" : form.place.trim(),
        to_place: form.to.trim(),
        recipient: form.recipient.trim(),
        purpose,
        notice,
        words: form.words.trim(),
      });
      setSaid(waiting ? w("stock.waits") : w("stock.kept", { what: wn("move", kind) }));
      setForm({ ...form, pieces: "", words: "" });
      done();
    } catch (failure) {
      setProblem(failure);
    }
  };
  return (
    <SignedForm class="stack" write={() => void keep()}>
      <label class="field">
        {w("stock.kind")}
        <select value={kind} onChange={(event) => setKind(event.currentTarget.value as MovementKind)}>
          {kinds.map((one) => (
            <option key={one} value={one}>
              {wn("move", one)}
            </option>
          ))}
        </select>
      </label>
      {!ofNotice && (
        <label class="field">
          {w("stock.consignment")}
          <select required value={form.consignment} onChange={set("consignment")}>
            <option value="" />
            {(got?.answer.consignments ?? []).map((one) => (
              <option key={one.consignment_id} value={one.consignment_id}>
                {one.label}
              </option>
            ))}
          </select>
        </label>
      )}
      {field("lot", w("stock.code"), { maxLength: 60, required: ofNotice })}
      {!ofNotice && field("carton", w("stock.carton"), { maxLength: 60 })}
      {!ofNotice && field("pieces", w("stock.count"), { type: "number", inputMode: "numeric", min: 1, required: true })}
      {!ofNotice && !inHands && field("place", w("stock.place"), { required: true })}
      {(kind === "moved" || kind === "brought_back") && field("to", w("stock.to"), { required: true })}
      {(kind === "handed_out" || inHands) && field("recipient", w("stock.recipient"), { required: true })}
      {kind === "handed_out" && (
        <Choices
          legend={w("stock.as")}
          name="purpose"
          value={purpose}
          change={setPurpose}
          options={[
            { value: "protection", label: w("stock.as.protection") },
            { value: "source_control", label: w("stock.as.source_control") },
            { value: "training", label: w("stock.as.training") },
          ]}
        />
      )}
      {ofNotice && (
        <Choices
          legend={w("recall.kind")}
          name="notice"
          value={notice}
          change={setNotice}
          options={(["recall", "correction", "information"] as const).map((one) => ({
            value: one,
            label: wn("recall.kind", one),
          }))}
        />
      )}
      {field("words", ofNotice ? w("recall.words") : w("stock.words"), { maxLength: 2000 })}
      {problem !== null && <Problem of={problem} />}
      <button type="submit" class="button main">
        {w("stock.keep")}
      </button>
      <p role="status">{said}</p>
    </SignedForm>
  );
}
