/** Ways from a consignment to what came with it. */
import { numberOf } from "../number";
import { t } from "../words";

/** The number that one says aloud and writes on a carton; it stands before anything was sent. */
export function ShortNumber({ id }: { id: string }) {
  return (
    <p>
      {t("number.title")} <b class="ink unbroken">{numberOf(id)}</b>
    </p>
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
