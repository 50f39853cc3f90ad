import { useEffect, useState } from "preact/hooks";
import type { Parcel } from "../outbox/db";
import { again, all, changed, drop, flush, offline } from "../outbox/outbox";
import { Frame } from "../ui/common";
import { Shape } from "../ui/shapes";
import { moment, named, t } from "../words";

function size(bytes: number): string {
  return bytes === 0 ? "" : ` · ${(bytes / 1e6).toFixed(1)} MB`;
}

export function OutboxPage() {
  const [parcels, setParcels] = useState<Parcel[]>([]);
  const [room, setRoom] = useState<number | null>(null);
  const turn = changed.value;
  useEffect(() => {
    void all().then((found) => setParcels(found.slice(0, 100)));
    void navigator.storage
      ?.estimate?.()
      .then(({ quota, usage }) => setRoom(quota !== undefined && usage !== undefined ? quota - usage : null));
  }, [turn]);
  const waiting = parcels.some((parcel) => parcel.state === "waiting");
  return (
    <Frame title={t("outbox.title")}>
      <h1>{t("outbox.title")}</h1>
      <p>{t("outbox.what")}</p>
      {offline.value && <p class="notice">{t("outbox.away")}</p>}
      {room !== null && room < 500e6 && <p class="notice">{t("outbox.little", { mb: Math.round(room / 1e6) })}</p>}
      {waiting && (
        <button type="button" class="button main" onClick={() => void flush()}>
          {t("outbox.now")}
        </button>
      )}
      {parcels.length === 0 ? (
        <p class="sheet">{t("outbox.empty")}</p>
      ) : (
        <ul class="sheet rows">
          {parcels.map((parcel) => (
            <li key={parcel.id} class="slip">
              <Shape of={parcel.state} />
              <div class="stack tight">
                <b>{named("state", parcel.state)}</b>
                <span>
                  {parcel.kind === "photo"
                    ? t(parcel.fields["reduced"] === "true" ? "outbox.quick" : "outbox.photo")
                    : t("outbox.record")}
                  {size(parcel.size)}
                </span>
                <span class="small soft">
                  {moment(parcel.made_at)} · {parcel.actor}
                </span>
                {parcel.reason !== "" && <p>{t("outbox.because", { why: parcel.reason })}</p>}
                {parcel.unit_id !== "" && <a href={`#/unit/${parcel.unit_id}`}>{t("outbox.unit")}</a>}
                {parcel.state === "refused" && (
                  <div class="pair">
                    <button type="button" class="button small" onClick={() => void again(parcel.id)}>
                      {t("again")}
                    </button>
                    <button type="button" class="button small" onClick={() => void drop(parcel.id)}>
                      {t("outbox.drop")}
                    </button>
                  </div>
                )}
              </div>
            </li>
          ))}
        </ul>
      )}
    </Frame>
  );
}
