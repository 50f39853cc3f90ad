/** The walk list: the drawn units carton by carton, with ticks that stay on this phone. */
import { useState } from "preact/hooks";
import { NotHere } from "../../api";
import { route } from "../../route";
import type { Consignment, DrawnPlace } from "../../types";
import { CopyFrom, Frame, Problem } from "../../ui/common";
import { useGet } from "../../ui/load";
import { named, t } from "../../words";
import { byCarton, cartonOf } from "./walking";
import { w } from "./words";

const shelf = (id: string) => `ink.walk.${id}`;

function kept(id: string): Set<string> {
  try {
    const text = localStorage.getItem(shelf(id));
    return new Set(text === null ? [] : (JSON.parse(text) as string[]));
  } catch (problem) {
    console.warn("ticks could not be read, none are shown", problem);
    return new Set();
  }
}

export function WalkPage() {
  const { id } = route.value;
  const { got, problem, again } = useGet<Consignment>(`/consignments/${id}`);
  const [ticked, setTicked] = useState(() => kept(id));
  const [unkept, setUnkept] = useState(false);
  const row = got?.answer;
  const places = byCarton(row?.drawn ?? []);
  const cartons = [...new Set(places.map(cartonOf))];
  const done = (place: DrawnPlace) => place.unit_id !== null || ticked.has(place.place);
  const tick = (place: string, on: boolean) => {
    const next = new Set(ticked);
    if (on) next.add(place);
    else next.delete(place);
    setTicked(next);
    try {
      localStorage.setItem(shelf(id), JSON.stringify([...next]));
      setUnkept(false);
    } catch (failure) {
      console.warn("a tick could not be kept", failure);
      setUnkept(true);
    }
  };
  return (
    <Frame title={w("walk.title")}>
      <CopyFrom at={got?.keptAt ?? null} />
      <h1>{w("walk.title")}</h1>
      {problem instanceof NotHere && <p class="notice">{t("goods.away")}</p>}
      {problem !== null && <Problem of={problem} again={again} />}
      {unkept && (
        <p class="notice" role="alert">
          {t("outbox.full")}
        </p>
      )}
      {row !== undefined && (
        <>
          <p class="soft">
            <a href={`#/consignment/${id}/sample`}>{row.label}</a>
          </p>
          <p>{w("walk.what")}</p>
          {places.length === 0 && <p class="sheet">{t("sample.none")}</p>}
          <p role="status">{w("walk.left", { n: places.filter((one) => !done(one)).length, of: places.length })}</p>
          {cartons.map((carton) => (
            <fieldset key={carton} class="sheet stack">
              <legend>{carton === "" ? w("walk.loose") : w("walk.carton", { carton })}</legend>
              {places
                .filter((one) => cartonOf(one) === carton)
                .map((one) => (
                  <label key={one.place} class="choice">
                    <input
                      type="checkbox"
                      checked={done(one)}
                      disabled={one.unit_id !== null}
                      onChange={(event) => tick(one.place, event.currentTarget.checked)}
                    />
                    <span>
                      <b class="ink">{one.place}</b>
                      {one.unit_id !== null && ` · ${named("state", one.outcome ?? "none")}`}
                    </span>
                  </label>
                ))}
            </fieldset>
          ))}
        </>
      )}
    </Frame>
  );
}
