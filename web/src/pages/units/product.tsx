/** Is it one product? What the units bear, value by value, beside what was declared; a table and no verdict. */
import { NotHere } from "../../api";
import type { MarkOverUnits, OneProduct } from "../../generated/api";
import { route } from "../../route";
import { CopyFrom, Frame, Problem } from "../../ui/common";
import { Beside } from "../../ui/goods/beside";
import { useGet } from "../../ui/load";
import { Inks } from "../../ui/sentence";
import { Shape } from "../../ui/shapes";
import { AnsweringTo } from "../../ui/unit/aside";
import { named, t } from "../../words";
import { w } from "./words";

/** Units by name, each a way to it; the first few, and how many more. */
function Units({ ids, names }: { ids: string[]; names: Record<string, string> }) {
  const link = (id: string) => (
    <a key={id} class="button small quiet" href={`#/unit/${id}`}>
      {names[id] ?? id.slice(-6)}
    </a>
  );
  return (
    <>
      <div class="choices">{ids.slice(0, 6).map(link)}</div>
      {ids.length > 6 && (
        <details>
          <summary>{w("product.more", { n: ids.length - 6 })}</summary>
          <div class="choices">{ids.slice(6).map(link)}</div>
        </details>
      )}
    </>
  );
}

function One({ one, names }: { one: MarkOverUnits; names: Record<string, string> }) {
  const alike = one.values.length === 1;
  return (
    <section class="sheet stack" aria-label={named("mark", one.mark)}>
      <h2>{named("mark", one.mark)}</h2>
      <p class="slip">
        <Shape of={alike ? "note" : "cannot_tell"} />
        <span>
          {alike ? w("product.one") : w("product.several", { n: one.values.length })}
          {one.without.length > 0 && ` ${w("product.without", { n: one.without.length })}`}
        </span>
      </p>
      {one.declared.length > 0 && (
        <p>
          {w("product.declared")} <Inks of={one.declared} sign="·" />
        </p>
      )}
      <ul class="rows">
        {one.values.map(({ value, unit_ids, on_packaging, on_mask }, place) => (
          <li key={value}>
            <p>
              <b class="ink">{value}</b> {w("product.units", { n: unit_ids.length })}
              {on_packaging > 0 && (
                <span class="small soft"> {w("product.sides", { box: on_packaging, mask: on_mask })}</span>
              )}
            </p>
            {place > 0 && <Units ids={unit_ids} names={names} />}
          </li>
        ))}
      </ul>
    </section>
  );
}

export function ProductPage() {
  const { id } = route.value;
  const { got, problem, again } = useGet<OneProduct>(`/consignments/${id}/one-product`);
  const found = got?.answer;
  return (
    <Frame title={w("product.title")}>
      <CopyFrom at={got?.keptAt ?? null} />
      <h1>{w("product.title")}</h1>
      {problem instanceof NotHere && <p class="notice">{t("goods.away")}</p>}
      {problem !== null && <Problem of={problem} again={again} />}
      {found !== undefined && (
        <>
          <p class="soft">
            <a href={`#/consignment/${id}`}>{found.label}</a>
          </p>
          <p>{w("product.what", { n: Object.keys(found.units).length })}</p>
          {found.marks.length === 0 && <p class="sheet">{w("product.none")}</p>}
          <AnsweringTo.Provider
            value={{
              path: `/consignments/${id}`,
              unit: "",
              answers: found.across.flatMap((one) => one.answers ?? []),
              done: again,
            }}
          >
            <Beside aspects={{}} across={found.across} lots={[]} />
          </AnsweringTo.Provider>
          {found.marks.map((one) => (
            <One key={one.mark} one={one} names={found.units} />
          ))}
        </>
      )}
    </Frame>
  );
}
