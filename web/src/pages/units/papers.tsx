/** What may be turned towards a seller: a neutral sentence and the papers needed, nothing else. */
import { useEffect } from "preact/hooks";
import { presentChecks } from "../../outcome";
import { route } from "../../route";
import type { Scheme, Unit } from "../../types";
import { useGet } from "../../ui/load";
import { type Key, t } from "../../words";

export function PapersPage() {
  const { got } = useGet<Unit>(`/units/${route.value.id}`);
  const schemes = got === null ? [] : presentChecks(got.answer).map((row) => row.check.scheme);
  const scheme = schemes.find((name) => name !== "") ?? "";
  const rules = useGet<Scheme>(scheme === "" ? null : `/rules/${scheme}`);
  const own = (rules.got?.answer.papers ?? ["other"]).map((key) => `papers.${key}` as Key);
  const wanted: Key[] = [...own, "papers.holder", "papers.invoice", "papers.leaflet"];
  useEffect(() => {
    document.title = t("papers.title");
  }, []);
  return (
    <main class="papers">
      <p>{t("papers.say")}</p>
      <h1>{t("papers.title")}</h1>
      <ol>
        {wanted.map((key) => (
          <li key={key}>{t(key)}</li>
        ))}
      </ol>
      <button type="button" class="button" onClick={() => history.back()}>
        {t("close")}
      </button>
    </main>
  );
}
