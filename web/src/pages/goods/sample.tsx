/** The draw of a consignment, unit by unit, to tick off. */
import { useEffect, useState } from "preact/hooks";
import { newId } from "../../ids";
import type { Parcel } from "../../outbox/db";
import { all, changed } from "../../outbox/outbox";
import { route } from "../../route";
import type { Consignment, DrawnPlace } from "../../types";
import { Frame, Problem } from "../../ui/common";
import { useFresh } from "../../ui/load";
import { Shape } from "../../ui/shapes";
import { named, t } from "../../words";
import { w } from "../units/words";
import { unreadIn } from "./consignment";

/** Where the unit drawn at this place is photographed; from there one comes back to the sample. */
function takeAt(id: string, place: string): string {
  const asked = new URLSearchParams({ consignment: id, label: place, place, back: `consignment/${id}/sample` });
  return `#/take/${newId()}?${asked}`;
}

/** What of this consignment lies on the phone: the places photographed, and how much of it was sent. */
interface OnPhone {
  places: Set<string>;
  sent: number;
}

async function onPhoneOf(id: string): Promise<OnPhone> {
  const of = (parcel: Parcel) =>
    parcel.fields["consignment_id"] ?? (parcel.body as { consignment_id?: string } | null)?.consignment_id;
  const mine = (await all()).filter((parcel) => of(parcel) === id);
  const photos = mine.filter((parcel) => parcel.kind === "photo" && parcel.state !== "refused");
  return {
    places: new Set(photos.map((parcel) => parcel.fields["label"] ?? "")),
    sent: mine.filter((parcel) => parcel.state === "sent").length,
  };
}

/** One drawn unit after another, with what is left. */
export function SamplePage() {
  const { id } = route.value;
  const [onPhone, setOnPhone] = useState<OnPhone | null>(null);
  const turn = changed.value;
  useEffect(() => void onPhoneOf(id).then(setOnPhone), [id, turn]);
  // Asked again when something of this consignment has gone, not at each movement in the outbox.
  const { got, problem, again } = useFresh<Consignment>(
    onPhone === null ? null : `/consignments/${id}`,
    unreadIn,
    onPhone?.sent,
  );
  const row = got?.answer;
  const drawn = row?.drawn ?? [];
  const done = (place: DrawnPlace) => place.unit_id !== null || onPhone?.places.has(place.place) === true;
  const next = drawn.find((place) => !done(place));
  const finished = drawn.filter(done).length;
  const conflict = drawn.some((place) => place.outcome === "conflict" && place.basis === "confirmed");
  return (
    <Frame title={t("sample.title")}>
      <h1>{t("sample.title")}</h1>
      {problem !== null && <Problem of={problem} again={again} />}
      {row !== undefined && (
        <>
          <p class="soft">
            <a href={`#/consignment/${id}`}>{row.label}</a>
          </p>
          {conflict && (
            <p class="notice" role="alert">
              {t("sample.conflict")}
            </p>
          )}
          {drawn.length === 0 ? (
            <p class="sheet">{t("sample.none")}</p>
          ) : (
            <section class="sheet">
              <p aria-live="polite">
                <span class="left">{drawn.length - finished}</span> {t("sample.left", { of: drawn.length })}
              </p>
              <div
                class="bar"
                role="progressbar"
                aria-valuemin={0}
                aria-valuemax={drawn.length}
                aria-valuenow={finished}
                aria-label={t("sample.progress")}
              >
                <div style={{ inlineSize: `${(finished / drawn.length) * 100}%` }} />
              </div>
              {next !== undefined ? (
                <>
                  <h2>
                    {t("sample.next")} <span class="ink">{next.place}</span>
                  </h2>
                  <a class="button main" href={takeAt(id, next.place)}>
                    <Shape of="camera" /> {t("nav.take")}
                  </a>
                </>
              ) : (
                <>
                  <p>{t("sample.done")}</p>
                  <a class="button main" href={`#/consignment/${id}`}>
                    {t("sample.see")}
                  </a>
                </>
              )}
            </section>
          )}
          <div class="pair">
            <a class="button" href={`#/consignment/${id}/walk`}>
              {w("walk.title")}
            </a>
            <a class="button" href={`#/roll?consignment=${id}`}>
              {w("roll.sample")}
            </a>
          </div>
          <h2>{t("sample.list")}</h2>
          <ol class="ticks">
            {drawn.map((place) => (
              <li key={place.place} class="sheet">
                <a class="row" href={place.unit_id === null ? takeAt(id, place.place) : `#/unit/${place.unit_id}`}>
                  <Shape
                    of={
                      place.unit_id !== null ? (place.outcome ?? "waiting") : done(place) ? "waiting" : "not_looked_at"
                    }
                  />
                  <span>
                    <b class="ink">{place.place}</b>
                    <br />
                    <span class="small">
                      {place.unit_id !== null
                        ? named("state", place.outcome ?? "none")
                        : t(done(place) ? "state.waiting" : "sample.todo")}
                    </span>
                  </span>
                </a>
              </li>
            ))}
          </ol>
        </>
      )}
    </Frame>
  );
}
