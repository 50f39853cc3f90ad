/** One unit: what the ink says on each of its photos, confirmed mark by mark. */
import { useEffect, useState } from "preact/hooks";
import { get, NotHere, picture, record, Refused } from "../api";
import { newId } from "../ids";
import { typedBeforeShown } from "../marks/blind";
import { shown as cardsOf, type Shown } from "../marks/order";
import { aspectsTogether, presentChecks, together, unread } from "../outcome";
import { changed, ofUnit } from "../outbox/outbox";
import type { Parcel } from "../outbox/db";
import { route } from "../route";
import { person, typedFirst } from "../settings";
import type { Check, CheckRow, Confirmation, Confirmed, Job, Unit } from "../types";
import { CopyFrom, Frame, Outcome, PersonSheet, Problem, undo } from "../ui/common";
import { LookUp } from "../ui/lookup";
import { Aspects, ClassAndCare, Findings, ListResult } from "../ui/findings";
import { useGet } from "../ui/load";
import { MarkCard, TypeFirst, type Word } from "../ui/mark";
import { PhotoView } from "../ui/photo";
import { Shape } from "../ui/shapes";
import { named, t } from "../words";

interface Taken {
  photo_id: string;
  job_id: string;
}

function jobsOf(parcels: Parcel[]): Taken[] {
  return parcels.filter((parcel) => parcel.kind === "photo" && parcel.state === "sent").map((parcel) => parcel.answer as Taken);
}

/** Watches the jobs of a unit's photos until each is read; then the unit is asked for again. */
function useJobs(unit: string, done: () => void): { stage: string; failed: string[]; parcels: Parcel[]; running: boolean } {
  const [parcels, setParcels] = useState<Parcel[]>([]);
  const [jobs, setJobs] = useState<Record<string, Job>>({});
  const turn = changed.value;
  useEffect(() => {
    void ofUnit(unit).then(setParcels);
  }, [unit, turn]);
  const open = jobsOf(parcels).filter(({ job_id }) => !["done", "failed"].includes(jobs[job_id]?.state ?? ""));
  const watched = open.map(({ job_id }) => job_id).join();
  useEffect(() => {
    if (watched === "") return;
    let here = true;
    const look = async () => {
      for (const id of watched.split(",")) {
        try {
          const { answer } = await get<Job>(`/jobs/${id}`, false);
          if (!here) return;
          setJobs((before) => ({ ...before, [id]: answer }));
          if (answer.state === "done" || answer.state === "failed") done();
        } catch (problem) {
          if (problem instanceof Refused && problem.status === 404) {
            setJobs((before) => ({ ...before, [id]: { job_id: id, state: "done", stage: "", check_id: null, error: null } }));
          } else if (!(problem instanceof NotHere || problem instanceof Refused)) throw problem;
        }
      }
    };
    void look();
    const timer = setInterval(() => void look(), 700);
    return () => {
      here = false;
      clearInterval(timer);
    };
  }, [watched]);
  const failed = Object.values(jobs).flatMap((job) => (job.state === "failed" ? [job.error?.message ?? ""] : []));
  const stage = open.map(({ job_id }) => jobs[job_id]?.stage ?? "").find((name) => name !== "") ?? "";
  return { stage, failed, parcels, running: open.length > 0 };
}

function confirmationOf(unit: Unit, photo: string, card: Shown): Confirmation | null {
  return (
    unit.confirmations.find(
      (word) => word.in_force && word.withdraws === null && word.photo_id === photo && word.mark === card.mark.mark &&
        (word.item ?? 0) === card.item && word.occurrence === card.occurrence,
    ) ?? null
  );
}

function cardsOfCheck(check: Check): Shown[] {
  return check.items.flatMap((item, place) => cardsOf(item.marks, place));
}

function OnePhoto({ unit, row, again }: { unit: Unit; row: CheckRow; again: () => void }) {
  const check = row.check;
  const [chosen, setChosen] = useState(-1);
  const [problem, setProblem] = useState<unknown>(null);
  const [waiting, setWaiting] = useState(false);
  const [asked, setAsked] = useState<Word | null>(null);
  const cards = cardsOfCheck(check);

  const keep = async (word: Word) => {
    if (person.value === "") {
      setAsked(word);
      return;
    }
    const id = newId();
    const before = unit.confirmations.find(
      (other) => other.in_force && other.photo_id === row.photo_id && other.mark === word.mark.mark && (other.item ?? 0) === word.item && other.occurrence === word.occurrence,
    );
    try {
      const { waiting: queued } = await record<Confirmed>(
        "/confirmations",
        {
          id, photo_id: row.photo_id, item: word.item, mark: word.mark.mark, scheme: word.mark.scheme, occurrence: word.occurrence,
          printed: word.printed, from: word.from, read_as: word.mark.printed, supersedes: before?.confirmation_id ?? null,
        },
        unit.unit_id,
      );
      setWaiting(queued);
      setProblem(null);
      undo.value = {
        what: named("mark", word.mark.mark),
        run: () => {
          undo.value = null;
          void record(`/confirmations/${id}/withdraw`, { id: newId() }, unit.unit_id).then(again);
        },
      };
      again();
    } catch (failure) {
      if (!(failure instanceof Refused)) throw failure;
      setProblem(failure);
    }
  };
  useEffect(() => () => void (undo.value = null), []);

  const first = cards.find(
    (card) =>
      card.mark.mark === "approval_number" && card.mark.standing !== "absent" && confirmationOf(unit, row.photo_id, card) === null &&
      typedBeforeShown(row.photo_id, card.item, typedFirst.value),
  );
  if (asked !== null) {
    return (
      <PersonSheet
        close={() => {
          const word = asked;
          setAsked(null);
          if (person.value !== "") void keep(word);
        }}
      />
    );
  }
  if (first !== undefined) return <TypeFirst shown={first} check={check} photo={row.photo_id} say={(word) => void keep(word)} />;

  const choose = (place: number) => {
    setChosen(place);
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    document.getElementById(`mark-${place + 1}`)?.scrollIntoView({ behavior: still ? "auto" : "smooth", block: "center" });
  };
  const left = cards.filter((card) => card.mark.standing !== "absent" && confirmationOf(unit, row.photo_id, card) === null).length;
  const many = check.items.length > 1;
  return (
    <>
      <div class="side stack">
        <PhotoView photo={row.photo_id} check={check} marks={cards} chosen={chosen} choose={choose} />
        <p class="small soft">{t("photo.hint")}</p>
      </div>
      <div class="stack">
        <section class="stack" aria-labelledby="marks">
          <h2 id="marks">{t("marks.title")}</h2>
          <p role="status">{left === 0 ? t("marks.all") : t("marks.left", { n: left })}</p>
          {check.notes.map((note) => (
            <p key={note} class="small soft">
              {named("notice", note)}
            </p>
          ))}
          {problem !== null && <Problem of={problem} />}
          {waiting && <p class="notice">{t("marks.waiting")}</p>}
          {cards.map((card, place) => (
            <>
              {many && (place === 0 || cards[place - 1]!.item !== card.item) && <h3>{t("item.title", { n: card.item + 1 })}</h3>}
              <MarkCard
                key={`${card.item}${card.mark.mark}${card.mark.scheme}`} number={place + 1} shown={card} check={check} photo={row.photo_id}
                confirmation={confirmationOf(unit, row.photo_id, card)} say={(word) => void keep(word)} touch={() => setChosen(place)}
              />
            </>
          ))}
          {cards.length === 0 && <p class="sheet">{t("marks.none")}</p>}
        </section>
        {check.items.length > 1 ? (
          check.items.map((item, place) => (
            <div key={place} class="stack">
              <h2>{t("item.title", { n: place + 1 })}</h2>
              <Findings findings={item.findings} />
              <ListResult match={item.holder_match} />
            </div>
          ))
        ) : (
          <>
            <Findings findings={check.findings} />
            <ListResult match={check.holder_match} />
          </>
        )}
        <ClassAndCare check={check} />
      </div>
    </>
  );
}

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

export function UnitPage() {
  const id = route.value.id;
  const { got, problem, again } = useGet<Unit>(`/units/${id}`);
  const { stage, failed, parcels, running } = useJobs(id, again);
  const [tab, setTab] = useState(0);
  const unit = got?.answer ?? null;
  const rows = unit === null ? [] : presentChecks(unit);
  const pending = unit === null ? [] : unread(unit);
  const busy = running || parcels.some((parcel) => parcel.kind === "photo" && parcel.state === "waiting");
  const sum = together(rows.map((row) => row.check));
  const row = rows[Math.min(tab, rows.length - 1)];
  const title = unit?.label || t("unit.title");
  const surfaceOf = (photo: string) => unit?.photos.find((other) => other.photo_id === photo)?.surface ?? "facepiece";
  const unknown = problem instanceof NotHere || (problem instanceof Refused && problem.status === 404);
  const left = unit === null ? 0 : rows.flatMap((one) => cardsOfCheck(one.check).map((card) => ({ card, photo: one.photo_id })))
    .filter(({ card, photo }) => card.mark.standing !== "absent" && confirmationOf(unit, photo, card) === null).length;
  const gate = unit !== null && row !== undefined && cardsOfCheck(row.check).some(
    (card) => card.mark.mark === "approval_number" && card.mark.standing !== "absent" &&
      confirmationOf(unit, row.photo_id, card) === null && typedBeforeShown(row.photo_id, card.item, typedFirst.value),
  );
  return (
    <Frame title={title} broad={row !== undefined && !gate}>
      <div class="across stack">
        <CopyFrom at={got?.keptAt ?? null} />
        {problem !== null && !(unknown && (busy || parcels.length > 0)) && <Problem of={problem} again={again} />}
        {failed.map((words) => (
          <div class="notice" role="alert" key={words}>
            <p>
              <b>{t("unit.failed")}</b> {words}
            </p>
            <a class="button" href={`#/take/${id}`}>
              {t("take.again")}
            </a>
          </div>
        ))}
        {row === undefined && failed.length === 0 && <h1>{title}</h1>}
        {(busy || (row === undefined && failed.length === 0)) && (problem === null || unknown) && (
          <Waiting stage={stage} parcels={parcels} photo={pending[0]?.photo_id ?? null} />
        )}
        {row !== undefined && !gate && (
          <>
            <p class="soft">
              {title}
              {unit !== null && unit.count > 1 && ` · ${t("unit.count", { n: unit.count })}`}
              {unit?.held === true && (
                <>
                  {" "}
                  <span class="tag solid">{t("held")}</span>
                </>
              )}
            </p>
            <Outcome state={sum.outcome} basis={sum.basis} left={left} />
            {rows.length > 1 && (
              <div class="choices" role="group" aria-label={t("unit.photos")}>
                {rows.map((other, place) => (
                  <label class="choice" key={other.photo_id}>
                    <input type="radio" name="photo" checked={other === row} onChange={() => setTab(place)} />
                    <span>
                      {place + 1} · {named("surface", surfaceOf(other.photo_id))}
                    </span>
                  </label>
                ))}
              </div>
            )}
          </>
        )}
      </div>
      {row !== undefined && unit !== null && <OnePhoto key={row.photo_id} unit={unit} row={row} again={again} />}
      {row !== undefined && !gate && (
        <div class="across stack">
          <Aspects aspects={aspectsTogether(rows.map((other) => other.check))} />
          {unit !== null && row !== undefined && <LookUp about={{ unit: unit.unit_id, scheme: row.check.scheme, looked_up: row.check.holder_match.looked_up }} />}
          <div class="stack">
            <a class="button" href={`#/take/${id}`}>
              {t("unit.add")}
            </a>
            <a class="button" href={`#/papers/${id}`}>
              {t("papers.open")}
            </a>
            <a class="button" href={`/api/units/${id}/report?format=pdf&view=full`} target="_blank" rel="noopener">
              {t("report.open")}
            </a>
            {unit?.consignment_id != null && (
              <a class="button main" href={`#/consignment/${unit.consignment_id}/sample`}>
                {t("sample.back")}
              </a>
            )}
          </div>
        </div>
      )}
    </Frame>
  );
}

