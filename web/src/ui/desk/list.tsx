/** The list beside what is open: units or consignments, narrowed by what one types. */
import { useCallback, useEffect, useRef, useState } from "preact/hooks";
import { notReadYet } from "../../outcome";
import { route } from "../../route";
import { keysOn } from "../../settings";
import type { ConsignmentRows, UnitRows } from "../../types";
import { day, moment, named, t } from "../../words";
import { w } from "../../words/guide";
import { inARow } from "../../words/lists";
import { Sheet, Toggle } from "../common";
import { useFresh } from "../load";
import { Shape } from "../shapes";
import { useKeys } from "./keys";

interface Row {
  id: string;
  to: string;
  shape: string;
  name: string;
  says: string;
  when: string;
}

// Never beside the papers: that view may be turned towards a seller.
const ofUnits = ["unit", "build"];

function rowsOf(units: UnitRows | undefined, goods: ConsignmentRows | undefined): Row[] {
  const ones = (units?.units ?? []).map((unit) => {
    const state = unit.outcome ?? "none";
    const what = inARow([unit.approval_number, unit.holder], "·");
    return {
      id: unit.unit_id,
      to: `#/unit/${unit.unit_id}`,
      shape: state === "none" ? "not_looked_at" : state,
      name: unit.label || what || t("unit.title"),
      says: named("state", state),
      when: moment(unit.made_at),
    };
  });
  const many = (goods?.consignments ?? []).map((row) => ({
    id: row.consignment_id,
    to: `#/consignment/${row.consignment_id}`,
    shape: row.held ? "held" : (row.outcome ?? "not_looked_at"),
    name: row.label,
    says: row.held ? t("held") : named("state", row.outcome ?? (row.units > 0 ? "none" : "not_looked_at")),
    when: day(row.made_at),
  }));
  return [...ones, ...many];
}

function KeySheet({ close }: { close: () => void }) {
  const keys = [
    ["j k", "keys.move"],
    ["↓ ↑", "keys.arrows"],
    ["Enter", "keys.open"],
    ["/", "keys.search"],
    ["?", "keys.help"],
  ] as const;
  return (
    <Sheet title={w("keys.title")} close={close}>
      <dl class="versus">
        {keys.map(([key, says]) => [
          <dt key={key}>
            <kbd>{key}</kbd>
          </dt>,
          <dd key={says}>{w(says)}</dd>,
        ])}
      </dl>
      <Toggle label={w("keys.on")} on={keysOn.value} change={(on) => (keysOn.value = on)} />
      <p class="hint">{w("keys.why")}</p>
    </Sheet>
  );
}

export function DeskList() {
  const { page, id } = route.value;
  const units = ofUnits.includes(page);
  const goods = page === "consignment" && id !== "new";
  const [typed, setTyped] = useState("");
  const [help, setHelp] = useState(false);
  const open = useRef<HTMLAnchorElement>(null);
  useKeys(useCallback(() => setHelp(true), []));
  // What is open may be new: the list is asked for again each time that another thing is opened.
  const [turn, setTurn] = useState(0);
  useEffect(() => setTurn((now) => now + 1), [id]);
  const some = useFresh<UnitRows>(units ? "/units?limit=200" : null, (got) => got.units.some(notReadYet), turn);
  const many = useFresh<ConsignmentRows>(goods ? "/consignments" : null, () => false, turn);
  const rows = rowsOf(units ? some.got?.answer : undefined, goods ? many.got?.answer : undefined);
  const wanted = typed.trim().toLowerCase();
  const shown = rows.filter(({ name, says }) => `${name} ${says}`.toLowerCase().includes(wanted));
  useEffect(() => open.current?.scrollIntoView({ block: "nearest" }), [id, rows.length]);
  const sheet = help ? <KeySheet close={() => setHelp(false)} /> : null;
  if (!units && !goods) return sheet;
  const title = t(units ? "kept.title" : "consignments.title");
  return (
    <nav class="beside" aria-label={title}>
      <label class="field">
        {title}
        <input
          type="search"
          placeholder={w("desk.narrow")}
          value={typed}
          onInput={(event) => setTyped(event.currentTarget.value)}
        />
      </label>
      <ul>
        {shown.map((row) => (
          <li key={row.id}>
            <a
              class="row"
              href={row.to}
              ref={row.id === id ? open : undefined}
              aria-current={row.id === id ? "true" : undefined}
            >
              <Shape of={row.shape} />
              <span>
                <b>{row.name}</b>
                <br />
                <span class="small">
                  {row.says} <span class="soft">· {row.when}</span>
                </span>
              </span>
            </a>
          </li>
        ))}
      </ul>
      <footer>
        <span class="small" role="status">
          {(some.got ?? many.got) !== null && w("desk.shown", { n: shown.length, of: rows.length })}
        </span>
        <button type="button" class="button quiet small" onClick={() => setHelp(true)}>
          {w("keys.title")}
        </button>
      </footer>
      {sheet}
    </nav>
  );
}
