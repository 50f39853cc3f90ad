import { useEffect, useState } from "preact/hooks";
import { NotHere, picture, Refused } from "../../api";
import type { Parcel } from "../../outbox/db";
import { offline } from "../../outbox/outbox";
import { aspectsTogether, presentChecks, together as sumOf, unread } from "../../outcome";
import { route } from "../../route";
import type { CheckRow, Unit } from "../../types";
import { CopyFrom, Frame, Problem } from "../../ui/common";
import { BesideUnit } from "../../ui/goods/came-with";
import { Decide } from "../../ui/goods/decide";
import { useGet } from "../../ui/load";
import { Shape } from "../../ui/shapes";
import { Answer } from "../../ui/unit/answer";
import { After, AnsweringTo } from "../../ui/unit/aside";
import { Aspects, ClassAndCare } from "../../ui/unit/findings";
import { type Failed, useJobs } from "../../ui/unit/jobs";
import { LookUp } from "../../ui/unit/lookup";
import { Together } from "../../ui/unit/together";
import { named, t } from "../../words";
import { Onward } from "./onward";
import { OnePhoto, toConfirm, toName, typedFirstOf } from "./unit-photo";

function Waiting({ stage, parcels, photo }: { stage: string; parcels: Parcel[]; photo: string | null }) {
  const queued = parcels.filter((parcel) => parcel.kind === "photo" && parcel.state === "waiting").length;
  const refused = parcels.filter((parcel) => parcel.state === "refused");
  return (
    <section class="sheet" role="status">
      {refused.map((parcel) => (
        <div key={parcel.id} class="slip">
          <Shape of="refused" />
          <p>
            <b>{t("state.refused")}</b> {parcel.reason}
          </p>
        </div>
      ))}
      {queued > 0 ? (
        <div class="slip">
          <Shape of="waiting" />
          <p>{t("unit.queued", { n: queued })}</p>
        </div>
      ) : (
        refused.length === 0 && <p class="waits">{stage === "" ? t("unit.reading") : named("stage", stage)}</p>
      )}
      {photo !== null && <img src={picture(photo, 700)} alt={t("photo.alone")} />}
    </section>
  );
}

function Failures({ unit, failed, again }: { unit: string; failed: Failed[]; again: (job: string) => Promise<void> }) {
  const [problem, setProblem] = useState<unknown>(null);
  const retry = async (job: string) => {
    try {
      await again(job);
      setProblem(null);
    } catch (failure) {
      if (!(failure instanceof Refused || failure instanceof NotHere)) throw failure;
      setProblem(failure);
    }
  };
  return (
    <>
      {problem !== null && <Problem of={problem} />}
      {failed.map(({ job_id, why }) => (
        <div class="notice" role="alert" key={job_id}>
          <p>
            <b>{t("unit.failed")}</b> {why}
          </p>
          <div class="pair">
            <button type="button" class="button" onClick={() => void retry(job_id)}>
              {t("unit.retry")}
            </button>
            <a class="button" href={`#/take/${unit}`}>
              {t("take.again")}
            </a>
          </div>
        </div>
      ))}
    </>
  );
}

/** A unit that was read: its outcome, its photos and what they come to. */
function Seen({
  unit,
  rows,
  parcels,
  waiting,
  again,
}: {
  unit: Unit;
  rows: CheckRow[];
  parcels: Parcel[];
  waiting: boolean;
  again: () => void;
}) {
  const together = rows.length > 1 ? (unit.unit_check ?? null) : null;
  const [open, setOpen] = useState("");
  const first = rows.find((row) => typedFirstOf(unit, row) !== undefined);
  const row = first ?? rows.find((other) => other.photo_id === open) ?? (together === null ? rows[0] : undefined);
  if (first !== undefined)
    return (
      <OnePhoto
        key={first.photo_id}
        unit={unit}
        row={first}
        parcels={parcels}
        alone={false}
        waiting={waiting}
        again={again}
      />
    );
  const checks = rows.map((one) => one.check);
  const sum = together?.check ?? { ...sumOf(checks), aspects: aspectsTogether(checks) };
  const left = rows.reduce((n, one) => n + toConfirm(unit, one), 0);
  const surfaceOf = (photo: string) => unit.photos.find((other) => other.photo_id === photo)?.surface ?? "facepiece";
  const tabs = [
    ...(together === null ? [] : [{ photo: "", name: t("together.tab") }]),
    ...rows.map((one, place) => ({
      photo: one.photo_id,
      name: `${place + 1} · ${named("surface", surfaceOf(one.photo_id))}`,
    })),
  ];
  const alone = (row ?? rows[0]!).check;
  const match = together?.check.holder_match ?? rows[0]!.check.holder_match;
  return (
    <AnsweringTo.Provider
      value={{ path: `/units/${unit.unit_id}`, unit: unit.unit_id, answers: unit.answers ?? [], done: again }}
    >
      <div class="across stack">
        {(unit.label !== "" || unit.count > 1 || unit.held) && (
          <p class="soft">
            {unit.label || t("unit.title")}
            {unit.count > 1 && ` · ${t("unit.count", { n: unit.count })}`}
            {unit.held && (
              <>
                {" "}
                <span class="tag solid">{t("held")}</span>
              </>
            )}
          </p>
        )}
        <Answer
          sum={sum}
          together={together}
          checks={checks}
          left={left}
          free={rows.reduce((n, one) => n + toName(one), 0)}
        />
        <After of={unit.after ?? null} />
        {tabs.length > 1 && (
          <div class="choices" role="group" aria-label={t("unit.photos")}>
            {tabs.map(({ photo, name }) => (
              <label class="choice" key={photo}>
                <input
                  type="radio"
                  name="photo"
                  checked={photo === (row?.photo_id ?? "")}
                  onChange={() => setOpen(photo)}
                />
                <span>{name}</span>
              </label>
            ))}
          </div>
        )}
        {together !== null && row === undefined && left > 0 && <p role="status">{t("marks.left", { n: left })}</p>}
      </div>
      {row !== undefined && (
        <OnePhoto
          key={row.photo_id}
          unit={unit}
          row={row}
          parcels={parcels}
          alone={together === null}
          waiting={waiting}
          again={again}
        />
      )}
      {row === undefined && together !== null && <Together unit={unit} together={together} open={setOpen} />}
      <div class="across stack">
        <ClassAndCare
          scheme={together?.check.scheme ?? alone.scheme}
          filter_class={
            (together === null ? alone.marks["filter_class"] : together.check.marks["filter_class"]?.mark)?.value ?? ""
          }
        />
        <Aspects aspects={{ ...sum.aspects, ...unit.came_with?.aspects }} />
        <BesideUnit of={unit.came_with ?? null} />
        <LookUp
          about={{
            unit: unit.unit_id,
            papers: unit.consignment_id ?? undefined,
            scheme: together?.check.scheme ?? rows[0]!.check.scheme,
            looked_up: match.looked_up,
          }}
          done={again}
        />
        <Decide
          path={`/units/${unit.unit_id}`}
          hold={t("decide.hold.unit")}
          held={unit.held}
          decisions={unit.decisions}
          seen={unit.seen}
          folded
          done={again}
        />
        <Onward unit={unit} left={left} done={again} />
      </div>
    </AnsweringTo.Provider>
  );
}

export function UnitPage() {
  const id = route.value.id;
  const { got, problem, again } = useGet<Unit>(`/units/${id}`);
  const jobs = useJobs(id, again);
  const unit = got?.answer ?? null;
  const rows = unit === null ? [] : presentChecks(unit);
  const pending = unit === null ? [] : unread(unit);
  const waiting = jobs.parcels.some((parcel) => parcel.kind === "photo" && parcel.state === "waiting");
  const busy = jobs.running || waiting;
  const words = jobs.parcels.filter((parcel) => parcel.kind === "record" && parcel.state === "waiting").length;
  // What waited for a network counts once it has gone: then the unit is asked for again.
  useEffect(() => (words > 0 ? () => again() : undefined), [words]);
  const title = unit?.label || t("unit.title");
  const unknown = problem instanceof NotHere || (problem instanceof Refused && problem.status === 404);
  // The server does not have it yet, because it is on its way from this phone.
  const ours = unknown && (busy || jobs.parcels.length > 0);
  const nothing = rows.length === 0 && jobs.failed.length === 0;
  const typing = unit !== null && rows.some((row) => typedFirstOf(unit, row) !== undefined);
  return (
    <Frame title={title} broad={rows.length > 0 && !typing} decide={rows.length > 0 && !typing}>
      <div class="across stack">
        <CopyFrom at={got?.keptAt ?? null} />
        {problem !== null && !ours && <Problem of={problem} again={again} />}
        <Failures unit={id} failed={jobs.failed} again={jobs.again} />
        {nothing && <h1>{title}</h1>}
        {(busy || nothing) && (problem === null || ours) && (
          <Waiting stage={jobs.stage} parcels={jobs.parcels} photo={pending[0]?.photo_id ?? null} />
        )}
      </div>
      {unit !== null && rows.length > 0 && (
        <Seen unit={unit} rows={rows} parcels={jobs.parcels} waiting={words > 0 && offline.value} again={again} />
      )}
    </Frame>
  );
}
