/** One unit: what the ink says on each of its photos, confirmed mark by mark. */
import { Fragment } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { NotHere, picture, Refused, record, recordSeveral } from "../api";
import { newId } from "../ids";
import { typedBeforeShown } from "../marks/blind";
import { shown as cardsOf, type FreePrint, freePrint, type Placed, type Shown, setAside } from "../marks/order";
import { firstShown, placeKey, saidOf, sayOf, type WordBody, waitingWords } from "../marks/said";
import type { Parcel } from "../outbox/db";
import { offline } from "../outbox/outbox";
import { aspectsTogether, nextToConfirm, presentChecks, together as sumOf, unread } from "../outcome";
import { route } from "../route";
import { person, typedFirst } from "../settings";
import type { Check, CheckRow, Confirmation, Unit, UnitRow } from "../types";
import { CopyFrom, Frame, Outcome, PersonSheet, Problem, undo } from "../ui/common";
import { Decide } from "../ui/decide";
import { Aspects, ClassAndCare, Findings, ListResult } from "../ui/findings";
import { AddMark, AtOnce, FreeRow, SetAside } from "../ui/free";
import { type Failed, useJobs } from "../ui/jobs";
import { useGet } from "../ui/load";
import { LookUp } from "../ui/lookup";
import { MarkCard, TypeFirst, type Word } from "../ui/mark";
import { PhotoView } from "../ui/photo";
import { Shape } from "../ui/shapes";
import { ByTicket } from "../ui/ticket";
import { Together } from "../ui/together";
import { named, t } from "../words";

function cardsOfCheck(check: Check): Shown[] {
  return check.items.flatMap((item, place) => cardsOf(item.marks, place));
}

/** The number that is to be typed before anything of this photo is shown; undefined where none is. */
function typedFirstOf(unit: Unit, row: CheckRow): Shown | undefined {
  return cardsOfCheck(row.check).find(
    (card) =>
      card.mark.mark === "approval_number" &&
      card.mark.standing !== "absent" &&
      saidOf(unit, row.photo_id, card) === null &&
      // Drawn for the copy that was seen first: its full photo shows nothing that was not seen before.
      typedBeforeShown(firstShown(unit, row.photo_id), card.item, typedFirst.value),
  );
}

function toConfirm(unit: Unit, row: CheckRow): number {
  return cardsOfCheck(row.check).filter(
    (card) => card.mark.standing !== "absent" && saidOf(unit, row.photo_id, card) === null,
  ).length;
}

/** What one photo's marks come to, item by item. */
function Shows({ check }: { check: Check }) {
  return (
    <>
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
      <ClassAndCare scheme={check.scheme} filter_class={check.marks["filter_class"]?.value ?? ""} />
    </>
  );
}

/** How many free prints are shown at first: the maker is among the three largest more often than not. */
const firstFew = 3;

/** One photo with its marks; what the marks come to stands here only where it is the unit's one photo. */
function OnePhoto({
  unit,
  row,
  parcels,
  alone,
  waiting,
  again,
}: {
  unit: Unit;
  row: CheckRow;
  parcels: Parcel[];
  alone: boolean;
  waiting: boolean;
  again: () => void;
}) {
  const check = row.check;
  const photo = row.photo_id;
  const [chosen, setChosen] = useState(-1);
  const [problem, setProblem] = useState<unknown>(null);
  const [asked, setAsked] = useState<Word[] | null>(null);
  const cards = cardsOfCheck(check);
  const free = check.items.flatMap((item, place) => freePrint(item.marks, place, check.lines));
  const aside = check.items.flatMap((item, place) => setAside(item.marks, place));
  const onPhone = waitingWords(parcels, photo);
  const waitingFor = ({ mark, item }: Placed) => onPhone.get(placeKey(item, mark.id));
  // What was said since the unit was last asked for: a second tap says nothing new.
  const told = useRef(new Map<string, string>());
  useEffect(() => told.current.clear(), [unit]);

  const keep = async (words: Word[]) => {
    if (person.value === "") {
      setAsked(words);
      return;
    }
    const fresh = words
      .map((word) => bodyOf(word, photo, saidOf(unit, photo, word)))
      .filter((body) => {
        const before = onPhone.get(placeKey(body.item, body.mark_id));
        const known =
          told.current.get(placeKey(body.item, body.mark_id)) ?? (before === undefined ? "" : sayOf(before));
        return known !== sayOf(body);
      });
    if (fresh.length === 0) return;
    for (const body of fresh) told.current.set(placeKey(body.item, body.mark_id), sayOf(body));
    const forget = () => {
      for (const body of fresh) told.current.delete(placeKey(body.item, body.mark_id));
    };
    try {
      if (fresh.length === 1) await record("/confirmations", { ...fresh[0]! }, unit.unit_id);
      else await recordSeveral("/confirmations/several", { confirmations: fresh }, unit.unit_id);
      setProblem(null);
      undo.value = {
        what: fresh.map((body) => named("mark", body.named || body.mark)).join(", "),
        run: () => {
          undo.value = null;
          forget();
          void Promise.all(fresh.map((body) => takeBack(body.id, unit.unit_id))).then(again);
        },
      };
      again();
    } catch (failure) {
      forget();
      if (!(failure instanceof Refused)) throw failure;
      setProblem(failure);
    }
  };
  useEffect(
    () => () => {
      undo.value = null;
    },
    [],
  );

  const first = typedFirstOf(unit, row);
  if (asked !== null) {
    return (
      <PersonSheet
        close={() => {
          const words = asked;
          setAsked(null);
          if (person.value !== "") void keep(words);
        }}
      />
    );
  }
  if (first !== undefined)
    return <TypeFirst shown={first} check={check} photo={photo} say={(word) => void keep([word])} />;

  const choose = (place: number) => {
    setChosen(place);
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    const card = document.getElementById(`mark-${place + 1}`);
    const folded = card?.closest("details");
    if (folded !== null && folded !== undefined) folded.open = true;
    card?.scrollIntoView({ behavior: still ? "auto" : "smooth", block: "center" });
  };
  const left = toConfirm(unit, row);
  const many = check.items.length > 1;
  const open = cards.filter((card) => saidOf(unit, photo, card) === null && waitingFor(card) === undefined);
  const freeRow = (one: FreePrint, place: number) => (
    <FreeRow
      key={`${one.item}${one.mark.id}`}
      number={place + 1}
      row={one}
      check={check}
      photo={photo}
      waiting={waitingFor(one)}
      say={(word) => void keep([word])}
      touch={() => setChosen(place)}
    />
  );
  return (
    <>
      <div class="side stack">
        <PhotoView photo={photo} check={check} marks={[...free, ...cards]} chosen={chosen} choose={choose} />
        <p class="small soft">{t("photo.hint")}</p>
      </div>
      <div class="stack">
        <section class="stack" aria-labelledby="marks">
          <h2 id="marks">{t("marks.title")}</h2>
          <p role="status">
            {left === 0 ? t(cards.length === 0 ? "marks.none" : "marks.all") : t("marks.left", { n: left })}{" "}
            {free.length > 0 && t("free.left", { n: free.length })}
          </p>
          {check.notes.map((note) => (
            <p key={note} class="small soft">
              {named("notice", note)}
            </p>
          ))}
          {check.photo_quality
            .filter((fact) => fact.state === "poor")
            .map((fact) => (
              <p key={fact.fact} class="small soft">
                <b>{named("poor", fact.fact)}:</b> {named("remedy", fact.fact)}
              </p>
            ))}
          {problem !== null && <Problem of={problem} />}
          {waiting && onPhone.size === 0 && <p class="notice">{t("marks.waiting")}</p>}
          {free.length > 0 && (
            <section class="stack" aria-labelledby="free">
              <h3 id="free">{t("free.title")}</h3>
              <p>{t("free.why")}</p>
              {free.slice(0, firstFew).map(freeRow)}
              <p class="hint">{t("free.hint")}</p>
              {free.length > firstFew && (
                <details>
                  <summary>{t("free.more", { n: free.length - firstFew })}</summary>
                  <div class="stack">{free.slice(firstFew).map((one, place) => freeRow(one, place + firstFew))}</div>
                </details>
              )}
            </section>
          )}
          <AtOnce cards={open} check={check} photo={photo} say={(words) => void keep(words)} />
          {cards.map((card, place) => (
            <Fragment key={`${card.item}${card.mark.id || card.mark.mark}${card.mark.scheme}`}>
              {many && (place === 0 || cards[place - 1]!.item !== card.item) && (
                <h3>{t("item.title", { n: card.item + 1 })}</h3>
              )}
              <MarkCard
                number={free.length + place + 1}
                shown={card}
                check={check}
                photo={photo}
                confirmation={saidOf(unit, photo, card)}
                waiting={waitingFor(card)}
                say={(word) => void keep([word])}
                touch={() => setChosen(free.length + place)}
              />
            </Fragment>
          ))}
          {cards.length === 0 && free.length === 0 && <p class="sheet">{t("marks.none")}</p>}
          <SetAside
            rows={aside}
            back={(placed) => {
              const word = saidOf(unit, photo, placed);
              if (word !== null) void takeBack(word.confirmation_id, unit.unit_id).then(again);
            }}
          />
          {check.items.length > 0 && <AddMark items={check.items.length} say={(word) => void keep([word])} />}
        </section>
        {alone && <Shows check={check} />}
      </div>
    </>
  );
}

/** What is kept of a person's word; it takes the place of what they or another said of this mark before. */
function bodyOf(word: Word, photo: string, before: Confirmation | null): WordBody {
  return {
    id: newId(),
    photo_id: photo,
    item: word.item,
    mark_id: word.mark.id,
    mark: word.mark.mark,
    named: word.named ?? "",
    scheme: word.mark.scheme,
    printed: word.printed,
    from: word.from,
    read_as: word.mark.printed,
    supersedes: before?.photo_id === photo ? before.confirmation_id : null,
  };
}

async function takeBack(word: string, unit: string): Promise<void> {
  await record(`/confirmations/${word}/withdraw`, { id: newId() }, unit);
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

/** Where one goes from a unit. */
function Onward({ unit, left }: { unit: Unit; left: number }) {
  // What was confirmed meanwhile, here or by another person, is no longer to be confirmed.
  const asked = useGet<{ units: UnitRow[] }>("/units?limit=200", left);
  const next = nextToConfirm(asked.got?.answer.units ?? [], unit);
  return (
    <div class="stack">
      {next !== null && (
        <a class={left === 0 ? "button main" : "button"} href={`#/unit/${next.unit_id}`}>
          {t("unit.next")}
        </a>
      )}
      <a class="button" href={`#/take/${unit.unit_id}`}>
        {t("unit.add")}
      </a>
      <ByTicket unit={unit.unit_id} />
      <a class="button" href={`#/papers/${unit.unit_id}`}>
        {t("papers.open")}
      </a>
      <a class="button" href={`/api/units/${unit.unit_id}/report?format=pdf&view=full`} target="_blank" rel="noopener">
        {t("report.open")}
      </a>
      {unit.consignment_id !== null && (
        <a class="button" href={`#/consignment/${unit.consignment_id}${unit.place === "" ? "" : "/sample"}`}>
          {t(unit.place === "" ? "consignment.go" : "sample.back")}
        </a>
      )}
    </div>
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
  const match = together?.check.holder_match ?? rows[0]!.check.holder_match;
  return (
    <>
      <div class="across stack">
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
        <Outcome state={sum.outcome} basis={sum.basis} left={left} />
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
        {together !== null && (
          <ClassAndCare
            scheme={together.check.scheme}
            filter_class={together.check.marks["filter_class"]?.mark.value ?? ""}
          />
        )}
        <Aspects aspects={sum.aspects} />
        <LookUp
          about={{
            unit: unit.unit_id,
            scheme: together?.check.scheme ?? rows[0]!.check.scheme,
            looked_up: match.looked_up,
          }}
        />
        <Decide
          path={`/units/${unit.unit_id}`}
          hold={t("decide.hold.unit")}
          held={unit.held}
          decisions={unit.decisions}
          done={again}
        />
        <Onward unit={unit} left={left} />
      </div>
    </>
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
  const nothing = rows.length === 0 && jobs.failed.length === 0;
  const typing = unit !== null && rows.some((row) => typedFirstOf(unit, row) !== undefined);
  return (
    <Frame title={title} broad={rows.length > 0 && !typing}>
      <div class="across stack">
        <CopyFrom at={got?.keptAt ?? null} />
        {problem !== null && !(unknown && (busy || jobs.parcels.length > 0)) && <Problem of={problem} again={again} />}
        <Failures unit={id} failed={jobs.failed} again={jobs.again} />
        {nothing && <h1>{title}</h1>}
        {(busy || nothing) && (problem === null || unknown) && (
          <Waiting stage={jobs.stage} parcels={jobs.parcels} photo={pending[0]?.photo_id ?? null} />
        )}
      </div>
      {unit !== null && rows.length > 0 && (
        <Seen unit={unit} rows={rows} parcels={jobs.parcels} waiting={words > 0 && offline.value} again={again} />
      )}
    </Frame>
  );
}
