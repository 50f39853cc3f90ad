/** One photo of a unit: its marks, letter by letter, and what a person says of them. */
import { Fragment } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { Refused, record, recordSeveral } from "../../api";
import { newId } from "../../ids";
import { typedBeforeShown } from "../../marks/blind";
import { shown as cardsOf, type FreePrint, freePrint, type Placed, type Shown, setAside } from "../../marks/order";
import { firstShown, placeKey, saidOf, sayOf, type Word, type WordBody, waitingWords } from "../../marks/said";
import type { Parcel } from "../../outbox/db";
import { person, typedFirst } from "../../settings";
import type { Check, CheckRow, Confirmation, Unit } from "../../types";
import { PersonSheet, Problem, undo } from "../../ui/common";
import { TypeFirst } from "../../ui/marks/editor";
import { AddMark, AtOnce, atOnce, FreeRow, SetAside } from "../../ui/marks/free";
import { CodesLink, MarkCard } from "../../ui/marks/mark";
import { PhotoView } from "../../ui/marks/photo";
import { Findings, ListResult } from "../../ui/unit/findings";
import { named, t } from "../../words";
import { inSentence } from "../../words/lists";

export function cardsOfCheck(check: Check): Shown[] {
  return check.items.flatMap((item, place) => cardsOf(item.marks, place));
}

/** The number that is to be typed before anything of this photo is shown; undefined where none is. */
export function typedFirstOf(unit: Unit, row: CheckRow): Shown | undefined {
  return cardsOfCheck(row.check).find(
    (card) =>
      card.mark.mark === "approval_number" &&
      card.mark.standing !== "absent" &&
      saidOf(unit, row.photo_id, card) === null &&
      // Drawn for the copy that was seen first: its full photo shows nothing that was not seen before.
      typedBeforeShown(firstShown(unit, row.photo_id), card.item, typedFirst.value),
  );
}

/** How many pieces of print of a photo wait for a name. */
export function toName(row: CheckRow): number {
  return row.check.items.reduce((n, item, place) => n + freePrint(item.marks, place, row.check.lines).length, 0);
}

export function toConfirm(unit: Unit, row: CheckRow): number {
  return cardsOfCheck(row.check).filter(
    (card) => card.mark.standing !== "absent" && saidOf(unit, row.photo_id, card) === null,
  ).length;
}

/** What one photo's marks come to, item by item. */
function Shows({ check, photo }: { check: Check; photo: string }) {
  return (
    <>
      {check.items.length > 1 ? (
        check.items.map((item, place) => (
          <div key={place} class="stack">
            <h2 id={`item-${place}`}>{t("item.title", { n: place + 1 })}</h2>
            <Findings findings={item.findings} where={place === 0 ? "" : `${photo}/${place}`} under={`item-${place}`} />
            <ListResult match={item.holder_match} under={`item-${place}`} />
          </div>
        ))
      ) : (
        <>
          <Findings findings={check.findings} />
          <ListResult match={check.holder_match} />
        </>
      )}
    </>
  );
}

const keyOf = ({ item, mark }: Placed): string => `${item}${mark.id || mark.mark}${mark.scheme}`;

/** The cards of each item, those that a person has to look at letter by letter before the others. */
function lookedAtFirst(cards: Shown[], said: (card: Shown) => boolean): Shown[] {
  const rank = (card: Shown) => 2 * card.item + (card.mark.standing === "doubtful" && !said(card) ? 0 : 1);
  return [...cards].sort((a, b) => rank(a) - rank(b));
}

/** How many free prints are shown at first: the maker is among the three largest more often than not. */
const firstFew = 3;

/** One photo with its marks; what the marks come to stands here only where it is the unit's one photo. */
export function OnePhoto({
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
  const cards = lookedAtFirst(cardsOfCheck(check), (card) => saidOf(unit, photo, card) !== null);
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
        what: inSentence(fresh.map((body) => named("mark", body.named || body.mark))),
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
  const absent = cards.filter((card) => card.mark.standing === "absent" && saidOf(unit, photo, card) === null);
  const open = cards.filter((card) => saidOf(unit, photo, card) === null && waitingFor(card) === undefined);
  const inOneGo = atOnce(open);
  // One row of letters at a time is on the bench; the next doubtful mark opens once this one is settled.
  const onBench = open.find((card) => card.mark.standing === "doubtful");
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
  const drawn = (card: Shown) => cardOf(card, cards.indexOf(card));
  const cardOf = (card: Shown, place: number) => (
    <MarkCard
      key={keyOf(card)}
      number={free.length + place + 1}
      shown={card}
      alone={!inOneGo.includes(card)}
      onBench={card === onBench}
      check={check}
      photo={photo}
      confirmation={saidOf(unit, photo, card)}
      waiting={waitingFor(card)}
      say={(word) => void keep([word])}
      touch={() => setChosen(free.length + place)}
    />
  );
  return (
    <>
      <div class="side stack">
        <PhotoView photo={photo} check={check} marks={[...free, ...cards]} chosen={chosen} choose={choose} />
      </div>
      <div class="stack">
        <section class="stack" aria-labelledby="marks">
          <div class="titled">
            <h2 id="marks">{t("marks.title")}</h2>
            <CodesLink />
          </div>
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
            <section class="stack tight" aria-labelledby="free">
              <h3 id="free">{t("free.title")}</h3>
              <p class="small">{t("free.why")}</p>
              {free.slice(0, firstFew).map(freeRow)}
              {free.length > firstFew && (
                <details>
                  <summary>{t("free.more", { n: free.length - firstFew })}</summary>
                  <div class="stack">{free.slice(firstFew).map((one, place) => freeRow(one, place + firstFew))}</div>
                </details>
              )}
            </section>
          )}
          {check.items.map((_, item) => {
            const here = cards.filter((card) => card.item === item && !absent.includes(card));
            const several = here.filter((card) => inOneGo.includes(card));
            return here.length === 0 ? null : (
              <Fragment key={item}>
                {many && <h3>{t("item.title", { n: item + 1 })}</h3>}
                {here.filter((card) => !several.includes(card)).map(drawn)}
                {several.length > 0 && (
                  <div class="sheet several">
                    <h3>
                      {named("standing", "read")}: {several.length}
                    </h3>
                    {several.map(drawn)}
                  </div>
                )}
              </Fragment>
            );
          })}
          <AtOnce cards={open} say={(words) => void keep(words)} />
          {absent.length > 0 && (
            <details class="sheet">
              <summary>
                {t("marks.absent", { which: inSentence(absent.map(({ mark }) => named("mark", mark.mark))) })}
              </summary>
              <div class="stack">{absent.map(drawn)}</div>
            </details>
          )}
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
        {alone && <Shows check={check} photo={photo} />}
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
