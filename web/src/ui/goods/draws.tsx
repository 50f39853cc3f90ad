/** Every draw of a consignment: whether it still counts, why earlier ones do not, and whether one covers the goods. */
import { w } from "../../pages/units/words";
import type { Consignment } from "../../types";
import { has, moment, t } from "../../words";
import { Sentence } from "../sentence";
import { Shape } from "../shapes";

// What says that no draw speaks for these goods.
const ofOtherGoods: readonly string[] = ["plan_of_other_goods", "plan_of_unknown"];

export function Draws({ of }: { of: Consignment }) {
  const plans = of.plans ?? [];
  const other = of.in_the_way.filter((one) => ofOtherGoods.includes(one.key));
  const told = plans.length > 1 || plans.some((one) => one.instead_because !== "");
  if (!told && other.length === 0) return null;
  const counting = plans.filter((one) => one.counts).length;
  return (
    <section class="sheet" aria-labelledby="draws">
      <h2 id="draws">{w("draws.title")}</h2>
      {other.map((one) => {
        const says = `block.${one.key}`;
        const lift = `block.${one.key}.lift`;
        return (
          <div key={one.key} class="slip">
            <Shape of="caution" />
            <div>
              <p>
                <Sentence text={has(says) ? t(says, one.values) : one.says} />
              </p>
              <p class="small">{has(lift) ? t(lift, one.values) : one.lift}</p>
            </div>
          </div>
        );
      })}
      {counting > 1 && <p>{w("draws.more", { n: of.drawn.length })}</p>}
      {told && (
        <ol class="rows">
          {plans.map((one) => (
            <li key={one.plan_id}>
              <p>
                <b>{w(one.counts ? "draws.counts" : "draws.ended")}</b>{" "}
                {w("draws.of", { n: one.n, lot: one.lot, seed: one.seed })}
              </p>
              {one.instead_because !== "" && <p>{w("draws.instead", { reason: one.instead_because })}</p>}
              <p class="small soft">
                {one.by.name} · {moment(one.by.at)}
              </p>
            </li>
          ))}
        </ol>
      )}
    </section>
  );
}
