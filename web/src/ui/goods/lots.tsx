/** How a consignment stands: its sample in counts, each declared lot, and what a release waits for. */
import type { Consignment, LotStands } from "../../types";
import { named, t } from "../../words";
import { Sentence } from "../sentence";
import { Shape } from "../shapes";
import { Ways } from "./decide";

/** What how many units of the sample show, each with its count; nothing is added up. */
export function Counted({ of }: { of: Consignment["counted"] }) {
  return (
    <ul class="rows" hidden={of.length === 0}>
      {of.map((one) => (
        <li class="slip" key={one.says}>
          <Shape of={one.severity} label={named("kind", one.severity)} />
          <p>
            <Sentence text={one.says} />
          </p>
        </li>
      ))}
    </ul>
  );
}

/** Each declared lot as it stands. */
export function Lots({ of }: { of: LotStands[] }) {
  if (of.length === 0) return null;
  return (
    <section class="sheet" aria-labelledby="lots">
      <h2 id="lots">{t("lot.stands")}</h2>
      {of.map((lot) => (
        <div key={lot.code} class="slip">
          <Shape of={lot.held ? "held" : lot.released !== "" ? "released" : "note"} />
          <div>
            <p>
              <b>{t("lot.one", { code: lot.code })}</b> {lot.held && <span class="tag solid">{t("held")}</span>}{" "}
              {lot.released !== "" && named("disposition", lot.released)}
            </p>
            {lot.outcome === "conflict" && (
              <p class="slip">
                <Shape of="conflict" /> <span>{named("state", lot.outcome)}</span>
              </p>
            )}
            {lot.answered && <p>{lot.answered.says}</p>}
            {(lot.stopped_by ?? []).length > 0 && (
              <div class="notice">
                <p>
                  <b>{t("stopped")}</b>
                </p>
                <Ways of={lot.stopped_by} />
              </div>
            )}
            {lot.in_the_way.length === 0 ? (
              <p class="small">{t("lot.nothing")}</p>
            ) : (
              <details>
                <summary>{t("lot.waits", { n: lot.in_the_way.length })}</summary>
                <ul class="rows">
                  {lot.in_the_way.map((one) => (
                    <li key={one.key}>
                      <p>{one.says}</p>
                      <p class="small">{one.lift}</p>
                    </li>
                  ))}
                </ul>
              </details>
            )}
          </div>
        </div>
      ))}
    </section>
  );
}
