/** All photos of a unit together: what they show as one, each mark with the side it stands on. */
import { isFree } from "../../marks/order";
import type { PhotoRow, Place, Unit, UnitCheck, UnitFinding } from "../../types";
import { named, t } from "../../words";
import { Crop } from "../marks/crop";
import { Findings, ListResult } from "./findings";

/** The ink of a mark with the side on which it stands. */
function Side({ place, photo }: { place: Place; photo: PhotoRow }) {
  return (
    <figure class="side-by-side">
      {place.mark.polygon.length > 0 && (
        <Crop
          photo={photo.photo_id}
          polygon={place.mark.polygon}
          width={photo.width}
          height={photo.height}
          label={t("together.crop", { mark: named("mark", place.mark.mark), side: named("surface", place.surface) })}
        />
      )}
      <figcaption>
        {t("together.on", { side: named("surface", place.surface), n: place.photo + 1 })}:{" "}
        <span class="ink">{place.mark.printed || "–"}</span>
      </figcaption>
    </figure>
  );
}

/** Free print once, however many marks it is offered as. */
function oncePerInk(places: Place[]): Place[] {
  const ink = ({ mark, item }: Place) => JSON.stringify([item, mark.line, mark.span]);
  return places.filter(
    (place, at) =>
      !isFree(place.mark) || places.findIndex((other) => isFree(other.mark) && ink(other) === ink(place)) === at,
  );
}

export function Together({ unit, together, open }: { unit: Unit; together: UnitCheck; open: (photo: string) => void }) {
  const { check, photo_ids } = together;
  const photoOf = (place: Place) => unit.photos.find((photo) => photo.photo_id === photo_ids[place.photo]);
  const crops = (finding: UnitFinding) => {
    const sides = (finding.places ?? []).flatMap((place) => {
      const photo = photoOf(place);
      return photo === undefined ? [] : [{ place, photo }];
    });
    return sides.length < 2 ? null : (
      <div class="pair">
        {sides.map(({ place, photo }, number) => (
          <Side key={number} place={place} photo={photo} />
        ))}
      </div>
    );
  };
  return (
    <div class="across stack">
      <p>{t("together.what")}</p>
      <Findings findings={check.findings} beside={crops} />
      <section class="stack" aria-labelledby="together">
        <h2 id="together">{t("together.marks")}</h2>
        {photo_ids.map((id, photo) => {
          const here = check.placed.filter((place) => place.photo === photo);
          return here.length === 0 ? null : (
            <div key={id} class="sheet">
              <button type="button" class="button small" onClick={() => open(id)}>
                {t("together.on", { side: named("surface", here[0]!.surface), n: photo + 1 })}
              </button>
              <ul class="rows">
                {oncePerInk(here).map(({ mark }, number) => (
                  <li key={number}>
                    <b>{isFree(mark) ? t("free.what") : named("mark", mark.mark)}</b>{" "}
                    <span class="ink">{mark.printed || "–"}</span>{" "}
                    <span class={mark.confirmed ? "tag solid" : "tag"}>
                      {named("standing", mark.confirmed ? "confirmed" : isFree(mark) ? "free" : mark.standing)}
                    </span>
                  </li>
                ))}
              </ul>
            </div>
          );
        })}
      </section>
      <ListResult match={check.holder_match} />
      {check.others.map((other) => {
        const id = `other-${other.photo}-${other.item}`;
        return (
          <div key={id} class="stack">
            <h2 id={id}>{t("together.other", { n: other.item + 1, photo: other.photo + 1 })}</h2>
            <Findings findings={other.findings} where={`${photo_ids[other.photo]}/${other.item}`} under={id} />
            <ListResult match={other.holder_match} under={id} />
          </div>
        );
      })}
    </div>
  );
}
