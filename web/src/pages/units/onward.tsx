/** Where one goes from a unit: what is needed next at once, the rest behind one tap. */
import { may } from "../../access";
import { withLanguage } from "../../api";
import { nextToConfirm } from "../../outcome";
import { access } from "../../settings";
import type { Unit, UnitRows } from "../../types";
import { useGet } from "../../ui/load";
import { mayTakeBack, RemovedPhotos, TakenBack } from "../../ui/unit/taken-back";
import { t } from "../../words";
import { Move, mayMove } from "./move";
import { w } from "./words";

/** A ticket is for a phone that does not trust this server; only where accounts are on. */
function mayMakeTicket(): boolean {
  return access.value?.accounts === true && may("screener");
}

function ByTicket({ unit }: { unit: string }) {
  if (!mayMakeTicket()) return null;
  return (
    <a class="button" href={`#/ticket/${unit}`}>
      {t("ticket.make")}
    </a>
  );
}

/** What is made of a unit, or said of it, once in a while. */
function Seldom({ unit, done }: { unit: Unit; done: () => void }) {
  const made = (path: string) => withLanguage(`/units/${unit.unit_id}/${path}`);
  const links = [
    { name: t("report.open"), to: made("report?format=pdf&view=full"), file: true },
    { name: t("steps.print"), to: made("next-steps?format=pdf"), file: true },
    { name: t("papers.open"), to: `#/papers/${unit.unit_id}`, file: false },
    { name: t("build.title"), to: `#/build/${unit.unit_id}`, file: false },
  ];
  const forms = [mayMakeTicket(), mayTakeBack(unit), mayMove()];
  return (
    <details class="sheet fold">
      <summary>{w("onward.more", { n: links.length + forms.filter(Boolean).length })}</summary>
      <div class="onward">
        {links.map(({ name, to, file }) => (
          <a key={to} class="button" href={to} {...(file ? { target: "_blank", rel: "noopener" } : {})}>
            {name}
          </a>
        ))}
        <ByTicket unit={unit.unit_id} />
      </div>
      <TakenBack unit={unit} done={done} />
      <Move unit={unit} done={done} />
    </details>
  );
}

export function Onward({ unit, left, done }: { unit: Unit; left: number; done: () => void }) {
  // What was confirmed meanwhile, here or by another person, is no longer to be confirmed.
  const asked = useGet<UnitRows>("/units?limit=200", left);
  const next = nextToConfirm(asked.got?.answer.units ?? [], unit);
  return (
    <>
      <RemovedPhotos unit={unit} />
      <div class="onward">
        {next !== null && (
          <a class={left === 0 ? "button main" : "button"} href={`#/unit/${next.unit_id}`}>
            {t("unit.next")}
          </a>
        )}
        <a class="button" href={`#/take/${unit.unit_id}`}>
          {t("unit.add")}
        </a>
        {unit.consignment_id !== null && (
          <a class="button" href={`#/consignment/${unit.consignment_id}${unit.place === "" ? "" : "/sample"}`}>
            {t(unit.place === "" ? "consignment.go" : "sample.back")}
          </a>
        )}
      </div>
      <Seldom unit={unit} done={done} />
    </>
  );
}
