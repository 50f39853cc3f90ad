/** Units of a consignment beside each other: what they disagree about, aspect by aspect, lot by lot. */
import { aspectValues, type LotSample, type UnitsDiffer } from "../../types";
import { has, named, number, t } from "../../words";
import { Sentence } from "../sentence";
import { Shape } from "../shapes";
import { Statements } from "../statements";
import { Answered } from "../unit/aside";

function One({ one }: { one: UnitsDiffer }) {
  const says = `across.${one.key}`;
  const next = `across.${one.key}.next`;
  const mark = one.values["mark"];
  const values = { ...one.values, ...(mark === undefined ? {} : { mark: named("mark", mark) }) };
  return (
    <li class="slip">
      <Shape of="cannot_tell" />
      <div>
        <p>
          <Sentence text={has(says) ? t(says, values) : one.says} />
        </p>
        <p class="small">{has(next) ? t(next) : one.next_step}</p>
        <Answered finding={one.id ?? ""} where="" />
      </div>
    </li>
  );
}

export function Beside({
  aspects,
  across,
  lots,
}: {
  aspects: Record<string, Record<string, number>>;
  across: UnitsDiffer[];
  lots: LotSample[];
}) {
  const looked = aspectValues.filter((aspect) => aspects[aspect] !== undefined);
  if (looked.length === 0 && across.length === 0) return null;
  return (
    <section class="sheet" aria-labelledby="beside">
      <h2 id="beside">{t("across.title")}</h2>
      <ul class="rows" hidden={across.length === 0}>
        {across.map((one, place) => (
          <One key={place} one={one} />
        ))}
      </ul>
      {lots.length > 0 && <h3>{t("across.lots")}</h3>}
      {lots.map((lot) => (
        <div key={lot.code} class="slip">
          <Shape of={lot.outcome ?? "not_looked_at"} />
          <div>
            <p>{t("across.lot", { code: lot.code, n: lot.left_to_do, of: lot.drawn })}</p>
            <Statements of={lot.statement} small />
          </div>
        </div>
      ))}
      {looked.length > 0 && (
        <details>
          <summary>{t("across.aspects")}</summary>
          <ul class="rows">
            {looked.map((aspect) => (
              <li key={aspect}>
                <b>{named("aspect", aspect)}</b>
                {Object.entries(aspects[aspect]!).map(([state, count]) => (
                  <p key={state} class="slip small">
                    <Shape of={state} />
                    <span>
                      {number(count)} {named("state", state)}
                    </span>
                  </p>
                ))}
              </li>
            ))}
          </ul>
        </details>
      )}
    </section>
  );
}
