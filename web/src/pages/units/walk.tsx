/** The walk list: the drawn units carton by carton, with ticks that every phone sees. */
import { useEffect, useRef, useState } from "preact/hooks";
import { may } from "../../access";
import { NotHere, record } from "../../api";
import type { PickedOut } from "../../generated/api";
import { all, changed } from "../../outbox/outbox";
import { route } from "../../route";
import type { Consignment, DrawnPlace } from "../../types";
import { CopyFrom, Frame, Problem, useSigned } from "../../ui/common";
import { useFresh, useGet } from "../../ui/load";
import { named, t } from "../../words";
import { byCarton, cartonOf, unheard } from "./walking";
import { w } from "./words";

type Words = ReadonlyMap<string, boolean>;

/** Which places are ticked, by whom, and how to say so; a tick shows at once and is sent after. */
function useTicks(id: string) {
  const path = `/consignments/${id}/picked`;
  // Others tick too: asked again for as long as one looks at the list.
  const { got, problem } = useFresh<PickedOut>(path, () => true, changed.value);
  const [waiting, setWaiting] = useState<Words>(new Map());
  const [tapped, setTapped] = useState<Words>(new Map());
  const [failed, setFailed] = useState<unknown>(null);
  const heard = useRef(new Set<string>());
  const forget = (places: ReadonlySet<string>) =>
    setTapped((now) => new Map([...now].filter(([place]) => !places.has(place))));
  useEffect(() => {
    all().then(
      (parcels) => setWaiting(unheard(parcels, path, got?.keptAt ?? null)),
      (failure: unknown) => console.warn("what waits could not be read", failure),
    );
    // This answer was asked for after these were sent, so it has them.
    forget(new Set(heard.current));
    heard.current.clear();
  }, [got, problem, path]);
  const by = new Map((got?.answer.picked ?? []).map((one) => [one.place, one.by.name]));
  const tick = (place: string, picked: boolean) => {
    heard.current.delete(place);
    setTapped((now) => new Map(now).set(place, picked));
    record(path, { place, picked }).then(
      () => {
        heard.current.add(place);
        setFailed(null);
      },
      (failure: unknown) => {
        forget(new Set([place]));
        setFailed(failure);
      },
    );
  };
  return {
    tick,
    failed,
    has: (place: string) => tapped.get(place) ?? waiting.get(place) ?? by.has(place),
    waits: (place: string) => waiting.has(place),
    by: (place: string) => by.get(place) ?? "",
  };
}

export function WalkPage() {
  const { id } = route.value;
  const { got, problem, again } = useGet<Consignment>(`/consignments/${id}`);
  const ticks = useTicks(id);
  const { sheet, signed } = useSigned();
  const row = got?.answer;
  const places = byCarton(row?.drawn ?? []);
  const cartons = [...new Set(places.map(cartonOf))];
  const done = (place: DrawnPlace) => place.unit_id !== null || ticks.has(place.place);
  const told = (one: DrawnPlace): string => {
    if (one.unit_id !== null) return ` · ${named("state", one.outcome ?? "none")}`;
    if (ticks.waits(one.place)) return ` · ${w("walk.waits")}`;
    return ticks.has(one.place) && ticks.by(one.place) !== "" ? ` · ${ticks.by(one.place)}` : "";
  };
  return (
    <Frame title={w("walk.title")}>
      <CopyFrom at={got?.keptAt ?? null} />
      <h1>{w("walk.title")}</h1>
      {problem instanceof NotHere && <p class="notice">{t("goods.away")}</p>}
      {problem !== null && <Problem of={problem} again={again} />}
      {ticks.failed !== null && <Problem of={ticks.failed} />}
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
                      disabled={one.unit_id !== null || !may("screener", "releaser")}
                      onChange={(event) => {
                        const picked = event.currentTarget.checked;
                        signed(() => ticks.tick(one.place, picked));
                      }}
                    />
                    <span>
                      <b class="ink unbroken">{one.place}</b>
                      {told(one)}
                    </span>
                  </label>
                ))}
            </fieldset>
          ))}
        </>
      )}
      {sheet}
    </Frame>
  );
}
