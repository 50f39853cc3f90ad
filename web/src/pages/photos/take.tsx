/** Photograph, know at once whether the photo will do, say what it shows, go on. */
import { useEffect, useRef, useState } from "preact/hooks";
import { newId } from "../../ids";
import { NoRoom, put } from "../../outbox/outbox";
import { best } from "../../photo/burst";
import type { FirstLook } from "../../photo/first-look";
import { attach, keepPhoto, TooLarge } from "../../photo/keep";
import { isPhotoFile } from "../../photo/kinds";
import { type Looked, look } from "../../photo/look";
import { go, replace, route } from "../../route";
import { person } from "../../settings";
import { type Surface, surfaceValues, type Whole } from "../../types";
import { Choices, Count, Frame, PersonSheet } from "../../ui/common";
import { Shape } from "../../ui/shapes";
import { moment, named, t } from "../../words";
import { inSentence } from "../../words/lists";
import { declaredOf, Looks, nothingSeen } from "../units/looks";
import { w } from "../units/words";
import { Viewer } from "./viewer";

/** The photos of a burst: the one put forward is marked, any other can be taken in its place. */
function Burst({ photos, at, choose }: { photos: Blob[]; at: number; choose: (place: number) => void }) {
  const [addresses, setAddresses] = useState<string[]>([]);
  useEffect(() => {
    const made = photos.map((one) => URL.createObjectURL(one));
    setAddresses(made);
    return () => {
      for (const address of made) URL.revokeObjectURL(address);
    };
  }, [photos]);
  return (
    <fieldset>
      <legend>{t("burst.title")}</legend>
      <div class="burst">
        {addresses.map((address, place) => (
          <label class="choice" key={place}>
            <input
              type="radio"
              name="burst"
              checked={place === at}
              aria-label={t("burst.one", { n: place + 1 })}
              onChange={() => choose(place)}
            />
            <span>
              <img src={address} alt="" />
            </span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}

function QualityList({ looked }: { looked: Looked | null | "looking" }) {
  if (looked === "looking")
    return (
      <p class="waits" role="status">
        {t("quality.looking")}
      </p>
    );
  if (looked === null)
    return (
      <p class="notice" role="status">
        {t("quality.unopened")}
      </p>
    );
  const poor = looked.quality.filter((fact) => fact.state === "poor");
  const unchecked = looked.quality.filter((fact) => fact.state === "not_measured");
  const checked = looked.quality.filter((fact) => fact.state === "good");
  const name = (fact: FirstLook) => named("fact", fact.fact);
  return (
    <div class="sheet" role="status">
      {poor.length === 0 && (
        <p>
          <b>{t("quality.nothing")}</b>
        </p>
      )}
      <ul class="facts stack" hidden={poor.length === 0}>
        {poor.map((fact) => (
          <li key={fact.fact}>
            <Shape of="caution" />
            <div>
              <b>{named("poor", fact.fact)}</b>
              <p>{named("remedy", fact.fact)}</p>
            </div>
          </li>
        ))}
      </ul>
      {checked.length > 0 && <p class="small soft">{t("quality.checked", { what: inSentence(checked.map(name)) })}</p>}
      {unchecked.length > 0 && (
        <p class="small soft">{t("quality.unchecked", { what: inSentence(unchecked.map(name)) })}</p>
      )}
    </div>
  );
}

/** Makes a consignment of a unit that was photographed on its own, so that what follows has one report. */
async function consignmentOf(unit: string): Promise<string> {
  const id = newId();
  const body = { id, label: t("take.together.label", { when: moment(new Date().toISOString()) }) };
  await put({ id, path: "/api/consignments", actor: person.value, body });
  await attach(unit, id, "");
  return id;
}

export function TakePage() {
  const { id, query } = route.value;
  const [unit] = useState(() => id || newId());
  const [photos, setPhotos] = useState<Blob[]>([]);
  const [at, setAt] = useState(0);
  const [found, setFound] = useState<(Looked | null | "looking")[]>([]);
  const [address, setAddress] = useState("");
  const [surface, setSurface] = useState<Surface>((query.get("surface") as Surface | null) ?? "facepiece");
  const chosen = useRef(false);
  const retaken = useRef<string[]>([]);
  const [beside, setBeside] = useState(nothingSeen);
  const [count, setCount] = useState(Number(query.get("count") ?? 1));
  const [done, setDone] = useState<Surface[]>([]);
  const [problem, setProblem] = useState("");
  const [asking, setAsking] = useState<Whole | null>(null);
  const [busy, setBusy] = useState(false);
  const [consignment] = useState(query.get("consignment") ?? "");
  const label = query.get("label") ?? "";
  const back = query.get("back") ?? "";
  const place = query.get("place") ?? "";

  const photo = photos[at] ?? null;
  const looked = found[at] ?? null;

  const take = async (taken: Blob[]) => {
    for (const one of taken) {
      if (await isPhotoFile(one)) continue;
      setProblem(w("photo.none", { name: one instanceof File ? one.name : "" }));
      // it stands above the picture, where one may have scrolled past
      window.scrollTo(0, 0);
      return;
    }
    setProblem("");
    chosen.current = false;
    setAt(0);
    setFound(taken.map(() => "looking"));
    setPhotos(taken);
  };
  useEffect(() => {
    if (photos.length === 0) return;
    window.scrollTo(0, 0);
    let here = true;
    const all = async () => {
      const seen: (Looked | null | "looking")[] = photos.map(() => "looking");
      for (const [place, one] of photos.entries()) {
        seen[place] = await look(one);
        if (!here) return;
        setFound([...seen]);
        // What the person chose stays chosen.
        if (!chosen.current) setAt(best(seen));
      }
    };
    void all();
    return () => {
      here = false;
    };
  }, [photos]);
  useEffect(() => {
    if (photo === null) return;
    const made = URL.createObjectURL(photo);
    setAddress(made);
    return () => URL.revokeObjectURL(made);
  }, [photo]);

  /** Runs what writes to the phone; says so where it is full. */
  const written = async (write: () => Promise<void>) => {
    setBusy(true);
    try {
      await write();
      setProblem("");
    } catch (failure) {
      if (!(failure instanceof NoRoom || failure instanceof TooLarge)) throw failure;
      setProblem(failure instanceof TooLarge ? failure.message : t("outbox.full"));
    } finally {
      setBusy(false);
    }
  };
  const keep = async (whole: Whole) => {
    if (photo === null || busy) return;
    if (person.value === "") {
      setAsking(whole);
      return;
    }
    await written(async () => {
      await keepPhoto({
        photo,
        unit,
        surface,
        whole,
        declared: declaredOf(beside, surface),
        count,
        label,
        consignment,
        retaken: retaken.current,
      });
      retaken.current = [];
      if (place !== "") await attach(unit, consignment, place);
      setDone([...done, surface]);
      setPhotos([]);
      if (back !== "") replace(back);
    });
  };
  const nextTogether = () =>
    written(async () => {
      const made = await consignmentOf(unit);
      go(`take/${newId()}?consignment=${made}`);
    });

  if (photo === null && done.length > 0) {
    return (
      <Frame title={t("take.kept")}>
        <h1>{t("take.kept")}</h1>
        {problem !== "" && (
          <p class="notice" role="alert">
            {problem}
          </p>
        )}
        <p>{t("take.kept.what", { what: inSentence(done.map((one) => named("surface", one))) })}</p>
        <div class="stack">
          <button type="button" class="button main" onClick={() => go(`unit/${unit}`)}>
            {t("take.see")}
          </button>
          <fieldset>
            <legend>{t("take.another")}</legend>
            <div class="choices">
              {surfaceValues.map((other) => (
                <button
                  key={other}
                  type="button"
                  class="button small"
                  onClick={() => {
                    setSurface(other);
                    setDone([]);
                    replace(
                      `take/${unit}?${new URLSearchParams({ surface: other, ...(consignment === "" ? {} : { consignment }) })}`,
                    );
                  }}
                >
                  {named("surface", other)}
                </button>
              ))}
            </div>
          </fieldset>
          <a class="button" href={`#/take/${newId()}${consignment === "" ? "" : `?consignment=${consignment}`}`}>
            {t("take.next")}
          </a>
          {consignment === "" ? (
            <button type="button" class="button" disabled={busy} onClick={() => void nextTogether()}>
              {t("take.together")}
            </button>
          ) : (
            <a class="button" href={`#/consignment/${consignment}`}>
              {t("consignment.go")}
            </a>
          )}
        </div>
      </Frame>
    );
  }

  if (photo === null) {
    return (
      <Frame title={t("take.title")}>
        <h1>{label === "" ? t("take.title") : t("take.of", { what: label })}</h1>
        <Viewer taken={(taken) => void take(taken)} problem={problem} />
        <p class="small soft">{t("take.care")}</p>
      </Frame>
    );
  }
  const facts = looked === null || looked === "looking" ? [] : looked.quality;
  const fault = facts.find((fact) => fact.state === "poor");
  const poor = fault !== undefined;
  const takeAgain = () => {
    if (fault !== undefined) retaken.current.push(fault.fact);
    setPhotos([]);
  };
  const again = (
    <button type="button" class={poor ? "button main wide" : "button"} onClick={takeAgain}>
      <Shape of="undo" /> {t("look.again")}
    </button>
  );
  // What the phone advises stands where the thumb is. Of the answers none is put forward: a whole side is
  // the one that a finding rests on, and it is the person's word.
  const answers = (
    <div class="last">
      {poor && again}
      <fieldset>
        <legend>
          {named("surface", surface)} · {t("whole.title")} <span class="soft">{w("saves")}</span>
        </legend>
        <div class="answers">
          {(["yes", "no", "unknown"] as const).map((whole) => (
            <button key={whole} type="button" class="button" disabled={busy} onClick={() => void keep(whole)}>
              {t(`whole.${whole}`)}
            </button>
          ))}
        </div>
      </fieldset>
    </div>
  );
  return (
    <Frame title={t("look.title")} answers={answers}>
      <h1>{t("look.title")}</h1>
      {problem !== "" && (
        <p class="notice" role="alert">
          {problem}
        </p>
      )}
      <div class="viewer still">
        <img src={address} alt={t("look.photo")} />
      </div>
      <QualityList looked={looked} />
      {photos.length > 1 && (
        <Burst
          photos={photos}
          at={at}
          choose={(place) => {
            chosen.current = true;
            setAt(place);
          }}
        />
      )}
      <Choices
        legend={t("surface.title")}
        name="surface"
        value={surface}
        change={setSurface}
        options={surfaceValues.map((value) => ({ value, label: named("surface", value) }))}
      />
      <Looks seen={beside} surface={surface} change={setBeside} />
      {!poor && again}
      <details open={count > 1}>
        <summary>{t("count.open")}</summary>
        <Count label={t("count.title")} value={count} change={setCount} />
        <p class="hint">{t("count.hint")}</p>
      </details>
      <p class="hint">{t("whole.hint")}</p>
      {asking !== null && (
        <PersonSheet
          close={() => {
            const whole = asking;
            setAsking(null);
            if (person.value !== "") void keep(whole);
          }}
        />
      )}
    </Frame>
  );
}
