/** Consignments: what was declared, what to look at, what was seen, what a person decided. */

import { useEffect, useState } from "preact/hooks";
import { may } from "../access";
import { get, NotHere, Refused, record } from "../api";
import { newId } from "../ids";
import type { Parcel } from "../outbox/db";
import { all, changed } from "../outbox/outbox";
import { notReadYet, unitsAt } from "../outcome";
import { go, route } from "../route";
import type { Consignment, ConsignmentRows, DrawnPlace } from "../types";
import { Beside } from "../ui/beside";
import { Choices, CopyFrom, Frame, Outcome, Problem, useSigned } from "../ui/common";
import { Decide } from "../ui/decide";
import { useFresh } from "../ui/load";
import { LookUp } from "../ui/lookup";
import { Shape } from "../ui/shapes";
import { Statements } from "../ui/statements";
import { named, number, t } from "../words";
import { UnitLine } from "./home";

const unreadIn = (row: Consignment): boolean =>
  row.rows.some(notReadYet) || row.drawn.some((place) => place.unit_id !== null && place.outcome === null);

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
                    {row.held ? t("held") : named("state", row.outcome ?? "none")} ·{" "}
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
        <button type="button" onClick={() => void askOn()}>
          {t("consignments.older")}
        </button>
      )}
    </Frame>
  );
}

export function NewConsignmentPage() {
  const [form, setForm] = useState({ label: "", supplier: "", reference: "", units: "", cartons: "", lots: "" });
  const [problem, setProblem] = useState<unknown>(null);
  const { sheet, signed } = useSigned();
  const set = (key: keyof typeof form) => (event: Event) =>
    setForm({ ...form, [key]: (event.currentTarget as HTMLInputElement).value });
  const number = (text: string) => (text.trim() === "" ? null : Number(text));
  const make = async () => {
    const id = newId();
    const codes = form.lots
      .split(/[,;\n]/)
      .map((code) => code.trim())
      .filter(Boolean);
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
      {problem !== null && <Problem of={problem} />}
      <form
        class="stack"
        onSubmit={(event) => {
          event.preventDefault();
          signed(() => void make());
        }}
      >
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
      </form>
      {sheet}
    </Frame>
  );
}

function PlanForm({ id, row, done }: { id: string; row: Consignment; done: () => void }) {
  const [share, setShare] = useState("0.05");
  const [kind, setKind] = useState<"discovery" | "by_carton">("discovery");
  const [seed, setSeed] = useState("");
  const [problem, setProblem] = useState<unknown>(null);
  const { sheet, signed } = useSigned();
  const make = async () => {
    try {
      await record(`/consignments/${id}/plan`, {
        id: newId(),
        kind,
        seed: seed.trim(),
        odd_share: kind === "discovery" ? share : null,
        confidence: "0.95",
        sensitivity: "1",
      });
      setProblem(null);
      done();
    } catch (failure) {
      if (!(failure instanceof Refused)) throw failure;
      setProblem(failure);
    }
  };
  return (
    <form
      class="sheet"
      onSubmit={(event) => {
        event.preventDefault();
        signed(() => void make());
      }}
    >
      <h2>{t("plan.title")}</h2>
      <p>{t("plan.what", { units: row.units_declared ?? "–", cartons: row.cartons_declared ?? "–" })}</p>
      {problem !== null && <Problem of={problem} />}
      <Choices
        legend={t("plan.kind")}
        name="kind"
        value={kind}
        change={setKind}
        options={[
          { value: "discovery", label: t("plan.discovery") },
          { value: "by_carton", label: t("plan.by_carton") },
        ]}
      />
      {kind === "discovery" && (
        <Choices
          legend={t("plan.share")}
          name="share"
          value={share}
          change={setShare}
          options={["0.1", "0.05", "0.02", "0.01"].map((value) => ({ value, label: `${Number(value) * 100} %` }))}
        />
      )}
      <label class="field">
        {t("plan.seed")}
        <span class="hint">{t("plan.seed.hint")}</span>
        <input
          type="text"
          required
          maxLength={200}
          value={seed}
          onInput={(event) => setSeed(event.currentTarget.value)}
        />
      </label>
      <button type="submit" class="button main">
        {t("plan.draw")}
      </button>
      {sheet}
    </form>
  );
}

export function ConsignmentPage() {
  const { id } = route.value;
  const { got, problem, again } = useFresh<Consignment>(`/consignments/${id}`, unreadIn);
  const row = got?.answer;
  if (row === undefined) {
    return (
      <Frame title={t("consignments.title")}>
        <h1>{t("consignments.title")}</h1>
        {problem !== null && <Problem of={problem} again={again} />}
      </Frame>
    );
  }
  const from = [row.supplier, row.reference].filter(Boolean).join(" · ");
  return (
    <Frame title={row.label}>
      <CopyFrom at={got?.keptAt ?? null} />
      <h1>{row.label}</h1>
      {from !== "" && <p class="soft">{from}</p>}
      {row.held && (
        <p class="notice">
          <b>■ {t("held.do")}</b>
        </p>
      )}
      <Outcome level={2} state={row.outcome} basis={null} />
      <section class="sheet" aria-labelledby="seen">
        <h2 id="seen">{t("consignment.seen")}</h2>
        <p>
          {row.units_declared === null
            ? t("consignment.seen.all", { n: row.looked_at })
            : t("consignment.seen.of", { n: row.looked_at, of: row.units_declared })}
        </p>
        <ul class="rows">
          {(["conflict", "missing", "cannot_tell", "no_conflict_found", "not_looked_at"] as const).map((state) => (
            <li class="slip" key={state}>
              <Shape of={state} />
              <p>
                <b>{number(unitsAt(state, row))}</b> {named("state", state)}
              </p>
            </li>
          ))}
        </ul>
        <Statements of={row.statement} />
      </section>
      <Beside aspects={row.aspects ?? {}} across={row.across ?? []} lots={row.lot_samples ?? []} />
      <a class="button" href={`#/take/${newId()}?consignment=${id}`}>
        <Shape of="camera" /> {t("consignment.add")}
      </a>
      {row.plan === null ? (
        row.units_declared !== null && may("screener", "releaser") && <PlanForm id={id} row={row} done={again} />
      ) : (
        <section class="sheet" aria-labelledby="plan">
          <h2 id="plan">{t("plan.made")}</h2>
          <p class="left">{row.plan.n}</p>
          <p>{t("plan.n", { n: row.plan.n, lot: row.plan.lot })}</p>
          <p class="small soft">
            {t("plan.seed.was")} <span class="ink">{row.plan.seed}</span>
          </p>
          <Statements of={row.plan.statements} small />
          <a class="button main" href={`#/consignment/${id}/sample`}>
            {t("sample.go", { n: row.left_to_do })}
          </a>
        </section>
      )}
      <LookUp
        about={{ consignment: id, scheme: row.rows[0]?.scheme ?? "", looked_up: row.rows[0]?.approval_number ?? "" }}
      />
      <Decide
        path={`/consignments/${id}`}
        hold={t("decide.hold.all")}
        held={row.held}
        decisions={row.decisions}
        inTheWay={row.in_the_way}
        done={again}
      />
      <a class="button" href={`/api/consignments/${id}/report?format=pdf`} target="_blank" rel="noopener">
        {t("report.open")}
      </a>
      {row.rows.length > 0 && (
        <section class="stack" aria-labelledby="rows">
          <h2 id="rows">{t("consignment.rows")}</h2>
          <ul class="sheet rows">
            {row.rows.slice(0, 100).map((unit) => (
              <UnitLine key={unit.unit_id} unit={unit} />
            ))}
          </ul>
        </section>
      )}
    </Frame>
  );
}

/** Where the unit drawn at this place is photographed; from there one comes back to the sample. */
function takeAt(id: string, place: string): string {
  const asked = new URLSearchParams({ consignment: id, label: place, place, back: `consignment/${id}/sample` });
  return `#/take/${newId()}?${asked}`;
}

/** What of this consignment lies on the phone: the places photographed, and how much of it was sent. */
interface OnPhone {
  places: Set<string>;
  sent: number;
}

async function onPhoneOf(id: string): Promise<OnPhone> {
  const of = (parcel: Parcel) =>
    parcel.fields["consignment_id"] ?? (parcel.body as { consignment_id?: string } | null)?.consignment_id;
  const mine = (await all()).filter((parcel) => of(parcel) === id);
  const photos = mine.filter((parcel) => parcel.kind === "photo" && parcel.state !== "refused");
  return {
    places: new Set(photos.map((parcel) => parcel.fields["label"] ?? "")),
    sent: mine.filter((parcel) => parcel.state === "sent").length,
  };
}

/** One drawn unit after another, with what is left. */
export function SamplePage() {
  const { id } = route.value;
  const [onPhone, setOnPhone] = useState<OnPhone | null>(null);
  const turn = changed.value;
  useEffect(() => void onPhoneOf(id).then(setOnPhone), [id, turn]);
  // Asked again when something of this consignment has gone, not at each movement in the outbox.
  const { got, problem, again } = useFresh<Consignment>(
    onPhone === null ? null : `/consignments/${id}`,
    unreadIn,
    onPhone?.sent,
  );
  const row = got?.answer;
  const drawn = row?.drawn ?? [];
  const done = (place: DrawnPlace) => place.unit_id !== null || onPhone?.places.has(place.place) === true;
  const next = drawn.find((place) => !done(place));
  const finished = drawn.filter(done).length;
  const conflict = drawn.some((place) => place.outcome === "conflict" && place.basis === "confirmed");
  return (
    <Frame title={t("sample.title")}>
      <h1>{t("sample.title")}</h1>
      {problem !== null && <Problem of={problem} again={again} />}
      {row !== undefined && (
        <>
          <p class="soft">
            <a href={`#/consignment/${id}`}>{row.label}</a>
          </p>
          {conflict && (
            <p class="notice" role="alert">
              {t("sample.conflict")}
            </p>
          )}
          {drawn.length === 0 ? (
            <p class="sheet">{t("sample.none")}</p>
          ) : (
            <section class="sheet">
              <p aria-live="polite">
                <span class="left">{drawn.length - finished}</span> {t("sample.left", { of: drawn.length })}
              </p>
              <div
                class="bar"
                role="progressbar"
                aria-valuemin={0}
                aria-valuemax={drawn.length}
                aria-valuenow={finished}
                aria-label={t("sample.progress")}
              >
                <div style={{ inlineSize: `${(finished / drawn.length) * 100}%` }} />
              </div>
              {next !== undefined ? (
                <>
                  <h2>
                    {t("sample.next")} <span class="ink">{next.place}</span>
                  </h2>
                  <a class="button main" href={takeAt(id, next.place)}>
                    <Shape of="camera" /> {t("nav.take")}
                  </a>
                </>
              ) : (
                <>
                  <p>{t("sample.done")}</p>
                  <a class="button main" href={`#/consignment/${id}`}>
                    {t("sample.see")}
                  </a>
                </>
              )}
            </section>
          )}
          <h2>{t("sample.list")}</h2>
          <ol class="ticks">
            {drawn.map((place) => (
              <li key={place.place} class="sheet">
                <a class="row" href={place.unit_id === null ? takeAt(id, place.place) : `#/unit/${place.unit_id}`}>
                  <Shape
                    of={
                      place.unit_id !== null ? (place.outcome ?? "waiting") : done(place) ? "waiting" : "not_looked_at"
                    }
                  />
                  <span>
                    <b class="ink">{place.place}</b>
                    <br />
                    <span class="small">
                      {place.unit_id !== null
                        ? named("state", place.outcome ?? "none")
                        : t(done(place) ? "state.waiting" : "sample.todo")}
                    </span>
                  </span>
                </a>
              </li>
            ))}
          </ol>
        </>
      )}
    </Frame>
  );
}
