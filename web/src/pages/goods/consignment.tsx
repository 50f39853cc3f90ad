/** One consignment: what to look at, what was seen, what a person decided. */
import { useState } from "preact/hooks";
import { may } from "../../access";
import { NotHere, Refused, record, withLanguage } from "../../api";
import { newId } from "../../ids";
import { notReadYet, unitsAt } from "../../outcome";
import { route } from "../../route";
import { aspectStateValues, type Consignment } from "../../types";
import { Choices, CopyFrom, Frame, Outcome, Problem, SignedForm, Toggle } from "../../ui/common";
import { Beside } from "../../ui/goods/beside";
import { CameWith, ShortNumber } from "../../ui/goods/came-with";
import { Decide, Ways } from "../../ui/goods/decide";
import { Draws } from "../../ui/goods/draws";
import { Counted, Lots } from "../../ui/goods/lots";
import { useFresh } from "../../ui/load";
import { Shape } from "../../ui/shapes";
import { Statements } from "../../ui/statements";
import { AnsweringTo } from "../../ui/unit/aside";
import { LookUp } from "../../ui/unit/lookup";
import { named, number, t } from "../../words";
import { inARow } from "../../words/lists";
import { UnitLine } from "../home";
import { w } from "../units/words";

export const unreadIn = (row: Consignment): boolean =>
  row.rows.some(notReadYet) || row.drawn.some((place) => place.unit_id !== null && place.outcome === null);

/** What a release waits to have looked up, else the first unit's number. */
const keyOf = (row: Consignment): string =>
  row.in_the_way.find(({ values }) => values["looked_up"] !== undefined)?.values["looked_up"]?.split(", ")[0] ??
  row.rows[0]?.approval_number ??
  "";

/** Whether it is known how many units there are: in all, or in every lot. */
const canDraw = (row: Consignment): boolean =>
  may("screener", "releaser") && (row.units_declared !== null || allOf(row) !== null);

/** The units of all lots together; null where a lot has no number, or there is none. */
const allOf = ({ lots }: Consignment): number | null =>
  lots.length > 0 && lots.every((lot) => (lot.units ?? null) !== null)
    ? lots.reduce((sum, lot) => sum + (lot.units ?? 0), 0)
    : null;

function PlanForm({ id, row, done }: { id: string; row: Consignment; done: () => void }) {
  const [share, setShare] = useState("0.05");
  const [kind, setKind] = useState<"discovery" | "by_carton">("discovery");
  const [seed, setSeed] = useState("");
  const [instead, setInstead] = useState("");
  const [eachLot, setEachLot] = useState(false);
  const [open, setOpen] = useState("");
  const ofLots = kind === "discovery" && row.lots.length > 1;
  const [problem, setProblem] = useState<unknown>(null);
  const make = async () => {
    try {
      await record(`/consignments/${id}/plan`, {
        id: newId(),
        kind,
        seed: seed.trim(),
        nonconforming_share: kind === "discovery" ? share : null,
        confidence: "0.95",
        sensitivity: "1",
        instead_because: instead.trim(),
        ...(ofLots && eachLot ? { each_lot: true, open_cartons: Number(open) || null } : {}),
      });
      setProblem(null);
      done();
    } catch (failure) {
      if (!(failure instanceof Refused)) throw failure;
      setProblem(failure);
    }
  };
  return (
    <SignedForm class="sheet" write={() => void make()}>
      <h2>{t("plan.title")}</h2>
      <p>{t("plan.what", { units: row.units_declared ?? allOf(row) ?? "–", cartons: row.cartons_declared ?? "–" })}</p>
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
      {ofLots && <Toggle label={t("plan.each_lot")} on={eachLot} change={setEachLot} />}
      {ofLots && eachLot && (
        <label class="field">
          {t("plan.open_cartons")}
          <input type="number" min={1} value={open} onInput={(event) => setOpen(event.currentTarget.value)} />
        </label>
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
      {row.plan !== null && (
        <label class="field">
          {w("plan.instead")}
          <span class="hint">{w("plan.instead.hint")}</span>
          <textarea
            minLength={3}
            maxLength={2000}
            value={instead}
            onInput={(event) => setInstead(event.currentTarget.value)}
          />
        </label>
      )}
      <button type="submit" class={row.plan === null ? "button main" : "button"}>
        {t("plan.draw")}
      </button>
    </SignedForm>
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
        <ShortNumber id={id} />
        {problem instanceof NotHere && <p class="notice">{t("goods.away")}</p>}
        {problem !== null && <Problem of={problem} again={again} />}
      </Frame>
    );
  }
  const from = inARow([row.supplier, row.reference], "·");
  return (
    <Frame title={row.label}>
      <CopyFrom at={got?.keptAt ?? null} />
      <h1>{row.label}</h1>
      <ShortNumber id={id} />
      {from !== "" && <p class="soft">{from}</p>}
      {row.held && (
        <p class="notice">
          <b>■ {t("held.do")}</b>
        </p>
      )}
      {(row.stopped_by ?? []).length > 0 && (
        <section class="notice" role="status">
          <p>
            <b>{t("stopped")}</b>
          </p>
          <Ways of={row.stopped_by} />
        </section>
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
          {aspectStateValues.map((state) => (
            <li class="slip" key={state}>
              <Shape of={state} />
              <p>
                <b>{number(unitsAt(state, row))}</b> {named("state", state)}
              </p>
            </li>
          ))}
        </ul>
        <Counted of={row.counted ?? []} />
        {row.retakes?.says && <p class="small">{row.retakes.says}</p>}
        <Statements of={row.statement} />
      </section>
      <CameWith id={id} />
      <AnsweringTo.Provider
        value={{
          path: `/consignments/${id}`,
          unit: "",
          answers: (row.across ?? []).flatMap((one) => one.answers ?? []),
          done: again,
        }}
      >
        <Beside aspects={row.aspects ?? {}} across={row.across ?? []} lots={row.lot_samples ?? []} />
      </AnsweringTo.Provider>
      {row.units > 1 && (
        <a class="button" href={`#/consignment/${id}/product`}>
          {w("product.title")}
        </a>
      )}
      <a class="button" href={`#/take/${newId()}?consignment=${id}`}>
        <Shape of="camera" /> {t("consignment.add")}
      </a>
      {row.plan === null ? (
        canDraw(row) && <PlanForm id={id} row={row} done={again} />
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
          <a class="button" href={`#/consignment/${id}/walk`}>
            {w("walk.title")}
          </a>
          {canDraw(row) && (
            <details>
              <summary>{w("plan.again")}</summary>
              <PlanForm id={id} row={row} done={again} />
            </details>
          )}
        </section>
      )}
      <Draws of={row} />
      <Lots of={row.lot_stands ?? []} />
      <LookUp about={{ consignment: id, scheme: row.rows[0]?.scheme ?? "", looked_up: keyOf(row) }} done={again} />
      <Decide
        path={`/consignments/${id}`}
        hold={t("decide.hold.all")}
        held={row.held}
        decisions={row.decisions}
        inTheWay={row.in_the_way}
        seen={row.seen}
        lots={row.lot_stands ?? []}
        done={again}
      />
      <a class="button" href={withLanguage(`/consignments/${id}/report?format=pdf`)} target="_blank" rel="noopener">
        {t("report.open")}
      </a>
      <a class="button" href={`#/consignment/${id}/give-out`}>
        {t("out.go")}
      </a>
      <a class="button" href={withLanguage(`/consignments/${id}/next-steps?format=pdf`)} target="_blank" rel="noopener">
        {t("steps.print")}
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
