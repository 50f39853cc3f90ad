/** A code that another device scans, and the list of devices. */
import { useState } from "preact/hooks";
import type { Code, Device } from "../../types";
import { moment, t } from "../../words";

/** A QR code from its rows, dark on white in every look of the page: cameras need the contrast. */
export function Qr({ rows, label }: { rows: string[]; label: string }) {
  const size = rows.length + 8;
  const path = rows
    .flatMap((row, y) => [...row].flatMap((module, x) => (module === "1" ? [`M${x + 4} ${y + 4}h1v1h-1z`] : [])))
    .join("");
  return (
    <svg class="qr" viewBox={`0 0 ${size} ${size}`} role="img" aria-label={label} shape-rendering="crispEdges">
      <path d={path} fill="#000" />
    </svg>
  );
}

export function CodeShown({ code, done }: { code: Code; done: () => void }) {
  const [place, setPlace] = useState(0);
  const link = code.links[place % code.links.length]!;
  return (
    <div class="sheet stack" role="status">
      <p>{t("code.scan", { until: moment(code.ends_at) })}</p>
      <Qr rows={link.qr} label={t("code.qr")} />
      <p class="ink">{link.url}</p>
      <p>
        {t("code.typed")} <b class="ink">{code.code}</b>
      </p>
      {code.links.length > 1 && (
        <button type="button" class="button" onClick={() => setPlace(place + 1)}>
          {t("code.other")}
        </button>
      )}
      <a class="button" href="#/network">
        {t("code.trust")}
      </a>
      <button type="button" class="button" onClick={done}>
        {t("code.done")}
      </button>
    </div>
  );
}

export function Devices({ rows, revoke }: { rows: Device[]; revoke: (id: string) => void }) {
  return (
    <ul class="sheet rows">
      {rows.map((one) => (
        <li key={one.device_id} class="stack tight">
          <b>
            {one.label}
            {one.this && ` · ${t("devices.this")}`}
            {one.shared && ` · ${t("devices.shared")}`}
          </b>
          <span class="small">
            {t("devices.who", { person: one.person || t("devices.nobody"), joined: one.joined_by })}
          </span>
          <span class="small soft">{t("devices.seen", { when: moment(one.seen_at) })}</span>
          <button type="button" class="button small" onClick={() => revoke(one.device_id)}>
            {t("devices.revoke")}
            <span class="unseen"> {one.label}</span>
          </button>
        </li>
      ))}
    </ul>
  );
}
