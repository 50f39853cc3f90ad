/** Every consignment, and making one of what was declared. */
import { useEffect, useState } from "preact/hooks";
import { get, NotHere, Refused, record } from "../../api";
import { newId } from "../../ids";
import { go } from "../../route";
import type { ConsignmentRows } from "../../types";
import { CopyFrom, Frame, Problem, SignedForm } from "../../ui/common";
import { ShortNumber } from "../../ui/goods/came-with";
import { useFresh } from "../../ui/load";
import { Shape } from "../../ui/shapes";
import { named, t } from "../../words";
import { takenApart } from "../../words/lists";

export function ConsignmentsPage() {
  const { got, problem, again } = useFresh<ConsignmentRows>("/consignments", ({ consignments }) =>
    consignments.some((row) => row.outcome === null && row.units > 0),
  );
  const [older, setOlder] = useState<ConsignmentRows | null>(null);
  const [failed, setFailed] = useState<unknown>(null);
  const first = got?.answer.consignments ?? [];
  const known = new Set(first.map((row) => row.consignment_id));
  const rows = [...first, ...(older?.consignments ?? []).filter((row) => !known.has(row.consignment_id))];
  const askOn = async () => {
    try {
      const { answer } = await get<ConsignmentRows>(
        `/consignments?before=${rows[rows.length - 1]?.consignment_id ?? ""}`,
        false,
      );
      setOlder({ consignments: [...(older?.consignments ?? []), ...answer.consignments], more: answer.more });
      setFailed(null);
    } catch (failure) {
      if (!(failure instanceof NotHere || failure instanceof Refused)) throw failure;
      setFailed(failure);
    }
  };
  return (
    <Frame title={t("consignments.title")}>
      <h1>{t("consignments.title")}</h1>
      <p>{t("consignments.what")}</p>
      <a class="button main" href="#/consignment/new">
        {t("consignments.new")}
      </a>
      {problem !== null && <Problem of={problem} again={again} />}
      <CopyFrom at={got?.keptAt ?? null} />
      {got !== null && rows.length === 0 && <p class="sheet">{t("consignments.none")}</p>}
      {rows.length > 0 && (
        <ul class="sheet rows">
          {rows.map((row) => (
            <li key={row.consignment_id}>
              <a class="row" href={`#/consignment/${row.consignment_id}`}>
                <Shape of={row.held ? "held" : (row.outcome ?? "not_looked_at")} />
                <span>
                  <b>{row.label}</b>
                  <br />
                  <span class="small">
                    {row.held ? t("held") : named("state", row.outcome ?? (row.units > 0 ? "none" : "not_looked_at"))} ·{" "}
                    {row.units_declared === null
                      ? t("consignments.looked.all", { n: row.looked_at })
                      : t("consignments.looked", { n: row.looked_at, of: row.units_declared })}
                  </span>
                </span>
              </a>
            </li>
          ))}
        </ul>
      )}
      {failed !== null && <Problem of={failed} again={() => void askOn()} />}
      {(older ?? got?.answer)?.more && (
        <button type="button" class="button" onClick={() => void askOn()}>
          {t("consignments.older")}
        </button>
      )}
    </Frame>
  );
}

export function NewConsignmentPage() {
  const [id] = useState(newId);
  // What is opened next shows the number without a network too, so it is fetched while there is one.
  useEffect(() => {
    import("./consignment").catch((problem: unknown) => console.warn("a page could not be fetched", problem));
  }, []);
  const [form, setForm] = useState({ label: "", supplier: "", reference: "", units: "", cartons: "", lots: "" });
  const [problem, setProblem] = useState<unknown>(null);
  const set = (key: keyof typeof form) => (event: Event) =>
    setForm({ ...form, [key]: (event.currentTarget as HTMLInputElement).value });
  const number = (text: string) => (text.trim() === "" ? null : Number(text));
  const make = async () => {
    const codes = takenApart(form.lots);
    try {
      await record("/consignments", {
        id,
        label: form.label.trim(),
        supplier: form.supplier.trim(),
        reference: form.reference.trim(),
        units_declared: number(form.units),
        cartons_declared: number(form.cartons),
        lots: codes.map((code) => ({ code })),
        note: "",
      });
      go(`consignment/${id}`);
    } catch (failure) {
      if (!(failure instanceof Refused)) throw failure;
      setProblem(failure);
    }
  };
  return (
    <Frame title={t("consignments.new")}>
      <h1>{t("consignments.new")}</h1>
      <ShortNumber id={id} />
      {problem !== null && <Problem of={problem} />}
      <SignedForm class="stack" write={() => void make()}>
        <label class="field">
          {t("consignment.label")}
          <input type="text" required maxLength={200} value={form.label} onInput={set("label")} />
        </label>
        <label class="field">
          {t("consignment.supplier")}
          <input type="text" maxLength={200} value={form.supplier} onInput={set("supplier")} />
        </label>
        <label class="field">
          {t("consignment.reference")}
          <input type="text" maxLength={200} value={form.reference} onInput={set("reference")} />
        </label>
        <div class="pair">
          <label class="field">
            {t("consignment.units")}
            <input type="number" inputMode="numeric" min={1} value={form.units} onInput={set("units")} />
          </label>
          <label class="field">
            {t("consignment.cartons")}
            <input type="number" inputMode="numeric" min={1} value={form.cartons} onInput={set("cartons")} />
          </label>
        </div>
        <label class="field">
          {t("consignment.lots")}
          <span class="hint">{t("consignment.lots.hint")}</span>
          <input type="text" value={form.lots} onInput={set("lots")} />
        </label>
        <button type="submit" class="button main">
          {t("consignment.keep")}
        </button>
      </SignedForm>
    </Frame>
  );
}
