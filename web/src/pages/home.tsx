import { about, picture, withLanguage } from "../api";
import { notReadYet } from "../outcome";
import { outcomeValues, type UnitRow, type UnitRows } from "../types";
import { Frame, Problem } from "../ui/common";
import { useFresh } from "../ui/load";
import { Scene, Shape } from "../ui/shapes";
import { moment, named, t } from "../words";
import { inARow } from "../words/lists";
import { Invite } from "./guide/invite";

export function UnitLine({ unit }: { unit: UnitRow }) {
  const state = unit.outcome ?? "none";
  const photo = unit.photo_ids[0];
  const what = inARow([unit.approval_number, unit.holder], "·");
  return (
    <li>
      <a class="row" href={`#/unit/${unit.unit_id}`}>
        {photo !== undefined && <img class="thumb" src={picture(photo, 96)} alt="" loading="lazy" />}
        <Shape of={state === "none" ? "not_looked_at" : state} />
        <span>
          <b>{unit.label || what || t("unit.title")}</b>
          {unit.count > 1 && `\u00a0×\u00a0${unit.count}`}
          <br />
          <span class="small">
            {named("state", state)}
            {unit.basis === "reading" && ` · ${t("basis.reading")}`}
          </span>
          <br />
          <span class="small soft">{moment(unit.made_at)}</span>
        </span>
      </a>
    </li>
  );
}

export function HomePage() {
  const { got } = useFresh<UnitRows>("/units?limit=5", ({ units }) => units.some(notReadYet));
  const units = got?.answer.units ?? [];
  const doors = [
    { to: "#/take", scene: "one", key: "one" },
    { to: "#/bins", scene: "many", key: "many" },
    { to: "#/consignments", scene: "sample", key: "sample" },
    { to: "#/roll", scene: "roll", key: "roll" },
  ] as const;
  return (
    <Frame title={t("home.title")}>
      <h1>{t("home.title")}</h1>
      <p>{t("home.what")}</p>
      {about.value?.demo === true && (
        <p class="small">
          <span class="tag">{t("fictional")}</span> {t("fictional.why")}
        </p>
      )}
      <Invite />
      <nav class="doors" aria-label={t("home.doors")}>
        {doors.map(({ to, scene, key }) => (
          <a class="door" href={to} key={key}>
            <Scene of={scene} />
            <span>
              <b>{t(`door.${key}`)}</b>
              <span class="soft small">{t(`door.${key}.what`)}</span>
            </span>
          </a>
        ))}
      </nav>
      {units.length > 0 && (
        <section class="stack" aria-labelledby="last">
          <h2 id="last">{t("home.last")}</h2>
          <ul class="sheet rows">
            {units.map((unit) => (
              <UnitLine key={unit.unit_id} unit={unit} />
            ))}
          </ul>
        </section>
      )}
    </Frame>
  );
}

const outcomes = ["", ...outcomeValues] as const;

export function KeptPage({ filter, setFilter }: { filter: string; setFilter: (filter: string) => void }) {
  const { got, problem, again } = useFresh<UnitRows>("/units?limit=200", ({ units }) => units.some(notReadYet));
  const unread = (got?.answer.units ?? []).filter(notReadYet).length;
  const units = (got?.answer.units ?? []).filter((unit) => filter === "" || unit.outcome === filter);
  return (
    <Frame title={t("kept.title")}>
      <h1>{t("kept.title")}</h1>
      {problem !== null && <Problem of={problem} again={again} />}
      <label class="field">
        {t("kept.filter")}
        <select value={filter} onChange={(event) => setFilter(event.currentTarget.value)}>
          {outcomes.map((outcome) => (
            <option key={outcome} value={outcome}>
              {outcome === "" ? t("kept.all") : named("state", outcome)}
            </option>
          ))}
        </select>
      </label>
      <div class="pair">
        <a class="button quiet" href="#/find">
          {t("kept.find")}
        </a>
        <a
          class="button quiet"
          href={withLanguage(`/find/list.csv${filter === "" ? "" : `?state=${filter}`}`)}
          download
        >
          {t("kept.export")}
        </a>
      </div>
      <p role="status" class={unread > 0 ? "waits" : ""}>
        {unread > 0 && t("kept.reading", { n: unread })}
      </p>
      {got !== null && units.length === 0 && <p class="sheet">{t("kept.none")}</p>}
      {units.length > 0 && (
        <ul class="sheet rows">
          {units.map((unit) => (
            <UnitLine key={unit.unit_id} unit={unit} />
          ))}
        </ul>
      )}
    </Frame>
  );
}
