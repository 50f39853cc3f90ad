/** Ways from a consignment to what came with it. */
import { numberOf } from "../../number";
import type { Unit } from "../../types";
import { named, t } from "../../words";
import { Sentence } from "../sentence";
import { Shape } from "../shapes";

/** The number that one says aloud and writes on a carton; it stands before anything was sent. */
export function ShortNumber({ id }: { id: string }) {
  return (
    <p>
      {t("number.title")} <b class="ink unbroken">{numberOf(id)}</b>
    </p>
  );
}

/** What papers and supplier say of a unit; the outcome of its print stays as it is. */
export function BesideUnit({ of }: { of: Unit["came_with"] }) {
  if (of === null) return null;
  const raised = of.findings.filter((one) => one.severity !== "note");
  return (
    <section class="stack" aria-labelledby="beside-unit">
      <h2 id="beside-unit">{t("brought.title")}</h2>
      <p>{t("brought.beside")}</p>
      {raised.length > 0 && (
        <ul class="sheet rows">
          {raised.map((one, place) => (
            <li key={place} class="slip">
              <Shape
                of={one.question ? "cannot_tell" : one.severity}
                label={named("kind", one.question ? "question" : one.severity)}
              />
              <div>
                <p>
                  <Sentence text={one.says} />
                </p>
                {one.next_step !== "" && <p class="small">{one.next_step}</p>}
              </div>
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

export function CameWith({ id }: { id: string }) {
  return (
    <nav class="pair" aria-label={t("brought.title")}>
      <a class="button" href={`#/consignment/${id}/papers`}>
        {t("brought.open")}
      </a>
      <a class="button" href={`#/consignment/${id}/about`}>
        {t("goods.open")}
      </a>
    </nav>
  );
}
