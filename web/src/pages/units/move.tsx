/** Where a unit belongs and what it is called: attached to a consignment, moved, renamed. */
import { useState } from "preact/hooks";
import { may } from "../../access";
import { Refused, record } from "../../api";
import { newId } from "../../ids";
import type { ConsignmentRows, Unit } from "../../types";
import { Problem, SignedForm } from "../../ui/common";
import { useGet } from "../../ui/load";
import { w } from "./words";

function Form({ unit, done }: { unit: Unit; done: () => void }) {
  const { got } = useGet<ConsignmentRows>("/consignments?limit=200");
  const rows = got?.answer.consignments ?? [];
  const [to, setTo] = useState(unit.consignment_id ?? "");
  const [place, setPlace] = useState(unit.place);
  const [label, setLabel] = useState(unit.label);
  const [problem, setProblem] = useState<unknown>(null);
  const keep = async () => {
    const named = label.trim() === unit.label ? {} : { label: label.trim() };
    try {
      const body = { id: newId(), consignment_id: to, place: place.trim(), ...named };
      await record(`/units/${unit.unit_id}/attach`, body, unit.unit_id);
      setProblem(null);
      done();
    } catch (failure) {
      if (!(failure instanceof Refused)) throw failure;
      setProblem(failure);
    }
  };
  return (
    <SignedForm class="stack" write={() => void keep()}>
      {problem !== null && <Problem of={problem} />}
      <label class="field">
        {w("move.to")}
        <select required value={to} onChange={(event) => setTo(event.currentTarget.value)}>
          <option value="">–</option>
          {unit.consignment_id !== null && !rows.some((row) => row.consignment_id === unit.consignment_id) && (
            <option value={unit.consignment_id}>{unit.consignment_id.slice(-6)}</option>
          )}
          {rows.map((row) => (
            <option key={row.consignment_id} value={row.consignment_id}>
              {row.label}
            </option>
          ))}
        </select>
      </label>
      <label class="field">
        {w("move.place")}
        <input
          type="text"
          maxLength={200}
          value={place}
          onInput={(event) => setPlace(event.currentTarget.value)}
          placeholder="C001/U01"
        />
      </label>
      <label class="field">
        {w("move.label")}
        <input type="text" maxLength={200} value={label} onInput={(event) => setLabel(event.currentTarget.value)} />
      </label>
      <p class="hint">{w("move.hint")}</p>
      <button type="submit" class="button">
        {w("move.keep")}
      </button>
    </SignedForm>
  );
}

/** Whether this person may say where a unit belongs. */
export const mayMove = (): boolean => may("screener", "releaser");

export function Move({ unit, done }: { unit: Unit; done: () => void }) {
  const [open, setOpen] = useState(false);
  if (!mayMove()) return null;
  return (
    <details class="wide" open={open} onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{w(unit.consignment_id === null ? "move.attach" : "move.title")}</summary>
      {open && (
        <Form
          key={`${unit.consignment_id}${unit.place}${unit.label}`}
          unit={unit}
          done={() => {
            setOpen(false);
            done();
          }}
        />
      )}
    </details>
  );
}
