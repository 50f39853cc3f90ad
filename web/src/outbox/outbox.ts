/**
 * Everything that is written goes here first and to the server after: nothing is lost when the
 * network, the battery or the page goes. A parcel is `waiting`, then `sent` or `refused` with the
 * server's reason. Ids are made here, so sending the same parcel twice does no harm.
 */
import { signal } from "@preact/signals";
import { clock } from "../clock";
import { language } from "../settings";
import type { ErrorTold } from "../types";
import { t } from "../words";
import { db, type Parcel } from "./db";

/** The phone has no room for it: the person must know at once, because the photo is not kept. */
export class NoRoom extends Error {}

interface Draft {
  id: string;
  path: string;
  actor: string;
  unit_id?: string;
  turn?: 0 | 1;
  body?: unknown;
  fields?: Record<string, string>;
  bytes?: ArrayBuffer;
  media_type?: string;
  /** Given for what is attached to a form; a photo has none. */
  file_name?: string;
}

/** Bumped at each change, so that screens look again. */
export const changed = signal(0);
export const waitingCount = signal(0);
export const refusedCount = signal(0);
export const offline = signal(false);
/** The server says that nobody is signed in here (any more). */
export const signedOut = signal(false);

async function tell(): Promise<void> {
  const base = await db();
  waitingCount.value = await base.countFromIndex("parcels", "state", "waiting");
  refusedCount.value = await base.countFromIndex("parcels", "state", "refused");
  changed.value += 1;
}

/** The browser gives this phone's page no more room. */
export function isFull(problem: unknown): boolean {
  return problem instanceof DOMException && problem.name === "QuotaExceededError";
}

/** Keeps a parcel on the phone. Throws `NoRoom` when the phone is full; then nothing was kept. */
export async function put(draft: Draft): Promise<Parcel> {
  const parcel: Parcel = {
    id: draft.id,
    kind:
      draft.fields === undefined
        ? "record"
        : draft.bytes === undefined || draft.file_name !== undefined
          ? "form"
          : "photo",
    turn: draft.turn ?? 0,
    path: draft.path,
    fields: draft.fields ?? {},
    body: draft.body ?? null,
    media_type: draft.media_type ?? "",
    ...(draft.file_name === undefined ? {} : { file_name: draft.file_name }),
    size: draft.bytes?.byteLength ?? 0,
    state: "waiting",
    reason: "",
    actor: draft.actor,
    made_at: new Date().toISOString(),
    unit_id: draft.unit_id ?? "",
    answer: null,
  };
  const base = await db();
  try {
    const change = base.transaction(["parcels", "files"], "readwrite");
    if (draft.bytes !== undefined) {
      void change.objectStore("files").put({ id: parcel.id, bytes: draft.bytes });
    }
    void change.objectStore("parcels").put(parcel);
    await change.done;
  } catch (problem) {
    if (isFull(problem)) throw new NoRoom("the phone has no room left");
    throw problem;
  }
  await tell();
  return parcel;
}

/** The next parcels to go, in order: quick copies and records before full photos, then as made. */
export function inOrder(parcels: readonly Parcel[]): Parcel[] {
  return parcels
    .filter((parcel) => parcel.state === "waiting")
    .sort((a, b) => a.turn - b.turn || (a.id < b.id ? -1 : 1));
}

type Sent =
  | { state: "sent"; answer: unknown }
  | { state: "refused"; reason: string }
  | { state: "waiting"; held?: boolean };

/** Who writes, what their clock says, and in which language to answer them: every write carries these. */
export function head(actor: string): Record<string, string> {
  return { "X-Actor": encodeURIComponent(actor), "X-Clock": clock(), "Accept-Language": language.value || "en" };
}

async function sendOne(parcel: Parcel, fetcher: typeof fetch): Promise<Sent> {
  let response: Response;
  try {
    if (parcel.kind !== "record") {
      const form = new FormData();
      for (const [key, value] of Object.entries(parcel.fields)) form.append(key, value);
      if (parcel.kind === "photo" || parcel.file_name !== undefined) {
        const file = await (await db()).get("files", parcel.id);
        if (file === undefined) return { state: "refused", reason: t("outbox.gone") };
        const bytes = new Blob([file.bytes], { type: parcel.media_type });
        if (parcel.kind === "photo") form.append("file", bytes, "photo");
        else form.append("files", bytes, parcel.file_name);
      }
      response = await fetcher(parcel.path, { method: "POST", headers: head(parcel.actor), body: form });
    } else {
      response = await fetcher(parcel.path, {
        method: "POST",
        headers: { ...head(parcel.actor), "Content-Type": "application/json" },
        body: JSON.stringify(parcel.body),
      });
    }
  } catch (problem) {
    if (problem instanceof TypeError) return { state: "waiting" };
    throw problem;
  }
  if (response.ok) return { state: "sent", answer: await response.json() };
  // Busy, too fast, or broken on the server's side: the parcel is not at fault, it waits.
  if (response.status >= 500 || response.status === 429 || response.status === 408) return { state: "waiting" };
  const answer: unknown = await response.json().catch(() => null);
  const { message: told, code } = (answer as Partial<ErrorTold> | null)?.error ?? {};
  // Nobody is signed in, or somebody else is: it goes under the right name, or not yet.
  if (response.status === 401) signedOut.value = true;
  if (response.status === 401 || code === "other_person") return { state: "waiting", held: true };
  return { state: "refused", reason: told ?? t("problem.server", { status: response.status }) };
}

let running: Promise<void> | null = null;

async function run(fetcher: typeof fetch): Promise<void> {
  const base = await db();
  const held = new Set<string>();
  for (;;) {
    const [parcel] = inOrder(await base.getAllFromIndex("parcels", "state", "waiting")).filter(
      ({ id }) => !held.has(id),
    );
    if (parcel === undefined) break;
    const sent = await sendOne(parcel, fetcher);
    offline.value = sent.state === "waiting" && sent.held !== true;
    if (sent.state === "waiting" && sent.held === true) {
      held.add(parcel.id);
      continue;
    }
    if (sent.state === "waiting") break;
    const now: Parcel =
      sent.state === "sent"
        ? { ...parcel, state: "sent", answer: sent.answer }
        : { ...parcel, state: "refused", reason: sent.reason };
    const change = base.transaction(["parcels", "files"], "readwrite");
    void change.objectStore("parcels").put(now);
    if (now.state === "sent") void change.objectStore("files").delete(now.id);
    await change.done;
    await tell();
  }
  await tell();
}

/** Sends what waits, one after another; a second call while one runs waits for the same run. */
export function flush(fetcher: typeof fetch = fetch.bind(globalThis)): Promise<void> {
  running ??= run(fetcher).finally(() => {
    running = null;
  });
  return running;
}

/** Keeps, tries to send at once, and says how it stands. */
export async function send(draft: Draft): Promise<Parcel> {
  const kept = await put(draft);
  await flush();
  // A run that was already under way may have looked before this parcel lay there.
  let now = await find(kept.id);
  if (now?.state === "waiting" && !offline.value) {
    await flush();
    now = await find(kept.id);
  }
  return now ?? kept;
}

export async function find(id: string): Promise<Parcel | undefined> {
  return (await db()).get("parcels", id);
}

export async function all(): Promise<Parcel[]> {
  const parcels = await (await db()).getAll("parcels");
  return parcels.sort((a, b) => (a.id < b.id ? 1 : -1));
}

export async function ofUnit(unit: string): Promise<Parcel[]> {
  return (await all()).filter((parcel) => parcel.unit_id === unit);
}

export async function bytesOf(id: string): Promise<ArrayBuffer | undefined> {
  return (await (await db()).get("files", id))?.bytes;
}

/** Puts a refused parcel back in the queue. */
export async function again(id: string): Promise<void> {
  const base = await db();
  const parcel = await base.get("parcels", id);
  if (parcel === undefined) return;
  await base.put("parcels", { ...parcel, state: "waiting", reason: "" });
  await tell();
  await flush();
}

/** Takes a parcel off the phone; only what is refused or sent, or what the person gives up. */
export async function drop(id: string): Promise<void> {
  const base = await db();
  const change = base.transaction(["parcels", "files"], "readwrite");
  void change.objectStore("parcels").delete(id);
  void change.objectStore("files").delete(id);
  await change.done;
  await tell();
}

/** Forgets sent parcels but the newest `keep`, so that an old phone does not fill up. */
export async function tidy(keep = 200): Promise<void> {
  const base = await db();
  const sent = (await base.getAllKeysFromIndex("parcels", "state", "sent")).sort().reverse();
  for (const id of sent.slice(keep)) await base.delete("parcels", id);
}

/** Sends again when the network is back, and now and then in case the phone did not say so. */
export function keepSending(seconds = 15): void {
  window.addEventListener("online", () => void flush());
  setInterval(() => {
    if (waitingCount.value > 0) void flush();
  }, seconds * 1000);
  void tell()
    .then(() => tidy())
    .then(() => flush());
}
