/** From a photo in the hand to parcels in the outbox. */
import { about } from "../api";
import { newId } from "../ids";
import { flush, put } from "../outbox/outbox";
import { person } from "../settings";
import type { Surface, Whole } from "../types";
import { t } from "../words";
import { reduced } from "./look";

/** The server would not take so large a photo: said at once, not after it waited in the outbox. */
export class TooLarge extends Error {}

/** The kinds of photo that the server takes, for a field of files; any picture before it was asked. */
export function kindsTaken(): string {
  return about.value?.takes?.photos.join(",") ?? "image/*";
}

export interface Taken {
  photo: Blob;
  unit: string;
  surface: Surface;
  whole: Whole;
  declared: string[];
  count: number;
  label: string;
  consignment: string;
  /** What was poor in each first photo that was taken again before this one. */
  retaken?: string[];
}

/** Keeps the photo (and before it a quick copy when it is large); gives the id to watch. Throws `TooLarge` or `NoRoom`. */
export async function keepPhoto(taken: Taken): Promise<string> {
  const most = about.value?.takes?.most_bytes ?? Infinity;
  if (taken.photo.size > most) throw new TooLarge(t("photo.too_large", { mb: Math.floor(most / 2 ** 20) }));
  const fields: Record<string, string> = {
    unit_id: taken.unit,
    surface: taken.surface,
    whole: taken.whole,
    declared: taken.declared.join(","),
    count: String(taken.count),
  };
  if (taken.label !== "") fields["label"] = taken.label;
  if (taken.consignment !== "") fields["consignment_id"] = taken.consignment;
  if (taken.retaken !== undefined && taken.retaken.length > 0) fields["retaken"] = taken.retaken.join(",");
  const common = { path: "/api/photos", actor: person.value, unit_id: taken.unit };
  const quick = await reduced(taken.photo);
  const first = newId();
  if (quick !== null) {
    await put({
      ...common,
      id: first,
      turn: 0,
      media_type: quick.type,
      bytes: await quick.arrayBuffer(),
      fields: { ...fields, id: first, reduced: "true" },
    });
  }
  const full = quick === null ? first : newId();
  await put({
    ...common,
    id: full,
    turn: quick === null ? 0 : 1,
    media_type: taken.photo.type,
    bytes: await taken.photo.arrayBuffer(),
    fields: { ...fields, id: full, ...(quick === null ? {} : { replaces: first }) },
  });
  void flush();
  return full;
}

/** Puts a unit at a place of a consignment's draw, through the outbox. */
export async function attach(unit: string, consignment: string, place: string): Promise<void> {
  const id = newId();
  const body = { id, consignment_id: consignment, place };
  await put({ id, path: `/api/units/${unit}/attach`, actor: person.value, unit_id: unit, body });
  void flush();
}
