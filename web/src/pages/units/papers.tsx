/** What may be turned towards a seller: a neutral sentence and the papers needed, nothing else. */
import { useEffect } from "preact/hooks";
import { presentChecks } from "../../outcome";
import { route } from "../../route";
import type { Scheme, Unit } from "../../types";
import { useGet } from "../../ui/load";
import { t } from "../../words";

export function PapersPage() {
  const { got } = useGet<Unit>(`/units/${route.value.id}`);
  const schemes = got === null ? [] : presentChecks(got.answer).map((row) => row.check.scheme);
  const scheme = schemes.find((name) => name !== "") ?? "";
  const rules = useGet<Scheme>(scheme === "" ? null : `/rules/${scheme}`);
  // as the law of the seller's country names it, where that is in other letters
  const titled = (says: string, title: string | undefined) =>
    title !== undefined && /[\u0250-\uffff]/.test(title) ? `${says} (${title})` : says;
  const own = (rules.got?.answer.papers ?? []).map((one) => titled(one.says, one.titles[0]));
  const common = (["papers.holder", "papers.invoice", "papers.leaflet"] as const).map((key) => t(key));
  const wanted = [...(own.length === 0 ? [t("papers.other")] : own), ...common];
  useEffect(() => {
    document.title = t("papers.title");
  }, []);
  return (
    <main class="papers">
      <p>{t("papers.say")}</p>
      <h1>{t("papers.title")}</h1>
      <ol>
        {wanted.map((says) => (
          <li key={says}>{says}</li>
        ))}
      </ol>
      <button type="button" class="button" onClick={() => history.back()}>
        {t("close")}
      </button>
    </main>
  );
}
