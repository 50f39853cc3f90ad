/** A photo with a face or a badge in it is taken back: its bytes go, and who, when and why stay. */
import { useState } from "preact/hooks";
import { may } from "../../access";
import { ask, NotHere, picture, Refused } from "../../api";
import { newId } from "../../ids";
import type { Unit } from "../../types";
import { moment, named, t } from "../../words";
import { Problem, SignedForm } from "../common";

export function RemovedPhotos({ unit }: { unit: Unit }) {
  return (
    <>
      {unit.photos
        .filter((one) => one.removed !== null)
        .map(({ photo_id, surface, removed }) => (
          <p key={photo_id} class="notice">
            <b>{named("surface", surface)}</b>{" "}
            {t("taken.by", { name: removed!.by, at: moment(removed!.at), reason: removed!.reason })}
          </p>
        ))}
    </>
  );
}

/** Whether a photo of the unit is there to be taken back, and this person may do so. */
export function mayTakeBack(unit: Unit): boolean {
  return unit.photos.some((one) => one.removed === null) && may("releaser", "administrator");
}

export function TakenBack({ unit, done }: { unit: Unit; done: () => void }) {
  const [photo, setPhoto] = useState("");
  const [reason, setReason] = useState("");
  const [problem, setProblem] = useState<unknown>(null);
  const there = unit.photos.filter((one) => one.removed === null);
  const remove = async () => {
    try {
      await ask(`/photos/${photo}/remove`, { id: newId(), reason });
      setPhoto("");
      setReason("");
      setProblem(null);
      done();
    } catch (failure) {
      if (!(failure instanceof Refused || failure instanceof NotHere)) throw failure;
      setProblem(failure);
    }
  };
  return (
    <details hidden={!mayTakeBack(unit)}>
      <summary>{t("taken.back")}</summary>
      <SignedForm class="sheet" write={() => void remove()}>
        {problem !== null && <Problem of={problem} />}
        <p>{t("taken.warn")}</p>
        {there.map(({ photo_id, surface }, place) => (
          <label class="choice" key={photo_id}>
            <input
              type="radio"
              name="taken"
              required
              checked={photo === photo_id}
              onChange={() => setPhoto(photo_id)}
            />
            <span>
              {place + 1} · {named("surface", surface)}
              {photo === photo_id && <img src={picture(photo_id, 300)} alt={t("photo.alone")} />}
            </span>
          </label>
        ))}
        <label class="field">
          {t("taken.why")}
          <input
            type="text"
            required
            minLength={3}
            maxLength={500}
            value={reason}
            onInput={(event) => setReason(event.currentTarget.value)}
          />
        </label>
        <button type="submit" class="button">
          {t("taken.do")}
        </button>
      </SignedForm>
    </details>
  );
}
