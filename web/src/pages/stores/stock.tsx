/** Stock: where a lot is, who has pieces of it, notices on lots, and what grows old. */
import { useState } from "preact/hooks";
import { get, withLanguage } from "../../api";
import type { LotOut, StockPage as Lots, PileOut, ReminderOut, WhereOut } from "../../generated/api";
import { route } from "../../route";
import { CopyFrom, Frame, Problem } from "../../ui/common";
import { useGet } from "../../ui/load";
import { Shape } from "../../ui/shapes";
import { day } from "../../words";
import { inARow } from "../../words/lists";
import { MoveForm } from "./move";
import { Notices } from "./notices";
import { w, wn } from "./words";

/** A hold, a stop and a way out are squares; what may go is the shape of a release. */
function shapeOf(pile: PileOut): string {
  if (pile.may_go_as.length > 0) return "released";
  return pile.status === "not_decided" ? "not_looked_at" : "held";
}

function Pile({ pile }: { pile: PileOut }) {
  return (
    <li class="slip">
      <Shape of={shapeOf(pile)} />
      <span>
        <b>{w("stock.pieces", { n: pile.pieces })}</b> · {pile.place}
        {pile.carton !== "" && ` · ${pile.carton}`}
        <br />
        {pile.says}
        {pile.limits !== "" && ` · ${pile.limits}`}
        {pile.until !== null && ` · ${w("stock.until", { day: day(pile.until) })}`}
        {pile.in_the_way.map((one) => (
          <span key={one.key} class="small">
            <br />
            {w("stock.stop", { why: `${one.says} ${one.lift}` })}
          </span>
        ))}
      </span>
    </li>
  );
}

export function Lot({ lot, again }: { lot: LotOut; again: () => void }) {
  return (
    <section class="sheet stack" aria-label={w("stock.lot", { lot: lot.lot })}>
      <h2 class="ink">{lot.lot === "" ? w("stock.no_lot") : w("stock.lot", { lot: lot.lot })}</h2>
      {lot.piles.length > 0 && (
        <>
          <h3>{w("stock.lies")}</h3>
          <ul class="rows">
            {lot.piles.map((pile) => (
              <Pile key={`${pile.goods_id}${pile.carton}${pile.place}${pile.came_back}`} pile={pile} />
            ))}
          </ul>
        </>
      )}
      {lot.hands.length > 0 && (
        <>
          <h3>{w("stock.hands")}</h3>
          <ul class="rows">
            {lot.hands.map((one) => (
              <li key={one.goods_id + one.carton + one.recipient}>
                <b>{one.recipient}</b> · {w("stock.pieces", { n: one.pieces })} ·{" "}
                {w("stock.since", { day: day(one.since) })}
              </li>
            ))}
          </ul>
        </>
      )}
      {lot.gone.length > 0 && (
        <>
          <h3>{w("stock.gone")}</h3>
          <ul class="rows">
            {lot.gone.map((one) => (
              <li key={one.goods_id + one.carton + one.how}>
                {one.says} · {w("stock.pieces", { n: one.pieces })}
              </li>
            ))}
          </ul>
        </>
      )}
      <Notices recalls={lot.recalls} again={again} />
      {lot.movements.length > 0 && (
        <details>
          <summary>{w("stock.history")}</summary>
          <ul class="rows">
            {lot.movements.map((one) => (
              <li key={one.movement_id} class="small">
                {day(one.on)} · {wn("move", one.kind)}
                {one.pieces > 0 && ` · ${one.pieces}`} ·{" "}
                {inARow([one.carton, one.place, one.to_place, one.recipient, one.words], "·")} · {one.by.name}
              </li>
            ))}
          </ul>
        </details>
      )}
    </section>
  );
}

function Reminders({ turn }: { turn: number }) {
  const { got, problem } = useGet<ReminderOut[]>("/reminders", turn);
  const rows = got?.answer ?? [];
  if (problem !== null && got === null) return null;
  return (
    <section class="stack" aria-labelledby="reminders">
      <h2 id="reminders">{w("reminders.title")}</h2>
      {got !== null && rows.length === 0 && <p class="sheet">{w("reminders.none")}</p>}
      {rows.length > 0 && (
        <ul class="sheet rows">
          {rows.map((one) => (
            <li key={one.key + one.subject_id + one.says}>
              {one.subject === "consignment" || one.subject === "unit" ? (
                <a class="row" href={`#/${one.subject}/${one.subject_id}`}>
                  {one.says}
                </a>
              ) : (
                one.says
              )}
              {one.owner !== "" && <p class="small soft">{one.owner}</p>}
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

export function StockPage() {
  const [asked, setAsked] = useState(route.value.query.get("lot") ?? "");
  const [lot, setLot] = useState(asked);
  const [turn, setTurn] = useState(0);
  const [older, setOlder] = useState<LotOut[]>([]);
  const [more, setMore] = useState<boolean | null>(null);
  const [failed, setFailed] = useState<unknown>(null);
  const where = useGet<WhereOut>(lot === "" ? null : `/stock/where?lot=${encodeURIComponent(lot)}`, turn);
  const list = useGet<Lots>(lot === "" ? "/stock?limit=20" : null, turn);
  const again = () => {
    setOlder([]);
    setMore(null);
    setTurn(turn + 1);
  };
  const shown = lot === "" ? [...(list.got?.answer.lots ?? []), ...older] : (where.got?.answer.lots ?? []);
  // the lot as it was kept, where what was typed names one: spaces and dashes do not tell lots apart
  const asWritten = lot === "" ? "" : (shown[0]?.lot ?? lot);
  const alike = lot === "" ? [] : (where.got?.answer.alike ?? []);
  const { got, problem } = lot === "" ? list : where;
  const askOn = () => {
    const last = shown[shown.length - 1]?.lot ?? "";
    get<Lots>(`/stock?limit=20&after=${encodeURIComponent(last)}`, false).then(({ answer }) => {
      setOlder([...older, ...answer.lots]);
      setMore(answer.more);
    }, setFailed);
  };
  return (
    <Frame title={w("stock.title")}>
      <h1>{w("stock.title")}</h1>
      <p>{w("stock.what")}</p>
      <form
        class="stack"
        onSubmit={(event) => {
          event.preventDefault();
          setLot(asked.trim());
        }}
      >
        <label class="field">
          {w("stock.where")}
          <input
            type="search"
            maxLength={60}
            value={asked}
            onInput={(event) => {
              setAsked(event.currentTarget.value);
              if (event.currentTarget.value === "") setLot("");
            }}
          />
        </label>
        <button type="submit" class="button main">
          {w("stock.look")}
        </button>
      </form>
      {problem !== null && <Problem of={problem} again={again} />}
      <CopyFrom at={got?.keptAt ?? null} />
      {got !== null && shown.length === 0 && <p class="sheet">{lot === "" ? w("stock.empty") : w("stock.none")}</p>}
      {alike.length > 0 && (
        <section class="stack" aria-label={w("stock.alike")}>
          <h2>{w("stock.alike")}</h2>
          <ul class="sheet rows">
            {alike.map((other) => (
              <li key={other}>
                <button
                  type="button"
                  class="button quiet ink"
                  onClick={() => {
                    setAsked(other);
                    setLot(other);
                  }}
                >
                  {other}
                </button>
              </li>
            ))}
          </ul>
        </section>
      )}
      {shown.map((one) => (
        <Lot key={one.lot} lot={one} again={again} />
      ))}
      {failed !== null && <Problem of={failed} again={askOn} />}
      {lot === "" && (more ?? list.got?.answer.more) === true && (
        <button type="button" class="button" onClick={askOn}>
          {w("stock.more")}
        </button>
      )}
      {shown.length > 0 && (
        <a class="button quiet" href={withLanguage(`/stock/list.csv?like=${encodeURIComponent(lot)}`)} download>
          {w("stock.csv")}
        </a>
      )}
      <details class="stack">
        <summary>{w("stock.write")}</summary>
        <MoveForm key={asWritten} lot={asWritten} done={again} />
      </details>
      <Reminders turn={turn} />
    </Frame>
  );
}
