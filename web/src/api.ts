/** Reading from the server, with the last answer kept for when there is no network. */
import { signal } from "@preact/signals";
import { newId } from "./ids";
import { db } from "./outbox/db";
import { head, isFull, offline, send, signedOut } from "./outbox/outbox";
import { language, person } from "./settings";
import type { About, ErrorTold } from "./types";
import { t } from "./words";

/** The server said no, with a sentence for the person. */
export class Refused extends Error {
  constructor(
    message: string,
    readonly status: number,
  ) {
    super(message);
  }
}

/** No network and nothing kept. */
export class NotHere extends Error {}

export interface Got<T> {
  answer: T;
  /** When this copy was kept, if it did not come from the server now. */
  keptAt: string | null;
}

/** The address of an answer in the language of the page. */
export function withLanguage(path: string): string {
  return `/api${path}${path.includes("?") ? "&" : "?"}lang=${language.value || "en"}`;
}

async function refusal(response: Response): Promise<Refused> {
  if (response.status === 401) signedOut.value = true;
  const answer: unknown = await response.json().catch(() => null);
  const told = (answer as Partial<ErrorTold> | null)?.error?.message;
  return new Refused(told ?? t("problem.server", { status: response.status }), response.status);
}

/** A full phone can still show what it was just told; only the copy for later is missing then. */
async function keepCopy(path: string, answer: unknown): Promise<void> {
  try {
    await (await db()).put("copies", { path, kept_at: new Date().toISOString(), answer });
  } catch (problem) {
    if (!isFull(problem)) throw problem;
    console.warn("no room on this phone for a copy of", path);
  }
}

/** GETs a path under /api; falls back to the kept copy when the network is gone. `signal` ends it where nobody waits. */
export async function get<T>(
  path: string,
  keep = true,
  signal: AbortSignal | null = null,
  who: Record<string, string> = {},
): Promise<Got<T>> {
  const full = withLanguage(path);
  let response: Response;
  try {
    response = await fetch(full, { headers: { ...who, Accept: "application/json" }, signal });
  } catch (problem) {
    if (!(problem instanceof TypeError)) throw problem;
    offline.value = true;
    const copy = keep ? await (await db()).get("copies", full) : undefined;
    if (copy === undefined) throw new NotHere("no network, and no copy on this phone");
    return { answer: copy.answer as T, keptAt: copy.kept_at };
  }
  if (!response.ok) throw await refusal(response);
  const answer = (await response.json()) as T;
  offline.value = false;
  if (keep) await keepCopy(full, answer);
  return { answer, keptAt: null };
}

/**
 * POSTs what is answered at once and does not wait in the outbox: something asked (a plan, a preview),
 * or desk work that needs its answer to go on. JSON, or a form as it is.
 */
export async function ask<T>(path: string, body: unknown): Promise<T> {
  const form = body instanceof FormData;
  let response: Response;
  try {
    response = await fetch(withLanguage(path), {
      method: "POST",
      headers: { ...head(person.value), ...(form ? {} : { "Content-Type": "application/json" }) },
      body: form ? body : JSON.stringify(body),
    });
  } catch (problem) {
    if (!(problem instanceof TypeError)) throw problem;
    offline.value = true;
    throw new NotHere("no network");
  }
  if (!response.ok) throw await refusal(response);
  return (await response.json()) as T;
}

/** Records something: through the outbox, so that it survives a lost network. */
export async function record<T>(
  path: string,
  body: Record<string, unknown>,
  unit_id = "",
): Promise<{ answer: T | null; waiting: boolean }> {
  const id = typeof body["id"] === "string" ? body["id"] : newId();
  return post<T>(`${id}${path.endsWith("/withdraw") ? "-w" : ""}`, path, { id, ...body }, unit_id);
}

/** Records several things in one go, each with an id of its own: all of them are kept, or none. */
export function recordSeveral<T>(
  path: string,
  body: Record<string, unknown>,
  unit_id = "",
): Promise<{ answer: T | null; waiting: boolean }> {
  return post<T>(newId(), path, body, unit_id);
}

async function post<T>(
  id: string,
  path: string,
  body: Record<string, unknown>,
  unit_id: string,
): Promise<{ answer: T | null; waiting: boolean }> {
  const parcel = await send({ id, path: withLanguage(path), actor: person.value, unit_id, body });
  if (parcel.state === "refused") throw new Refused(parcel.reason, 409);
  return { answer: parcel.answer as T | null, waiting: parcel.state === "waiting" };
}

export const about = signal<About | null>(null);

export async function learnAbout(): Promise<void> {
  try {
    about.value = (await get<About>("/about")).answer;
  } catch (problem) {
    if (!(problem instanceof NotHere || problem instanceof Refused)) throw problem;
  }
}

export function picture(photo: string, width: number): string {
  return `/api/photos/${photo}/picture?width=${width}`;
}
