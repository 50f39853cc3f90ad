/** Who is signed in on this device, and what they may do. The server decides; this only shows it. */
import { effect, signal } from "@preact/signals";
import { ask, get, NotHere, Refused } from "./api";
import { db } from "./outbox/db";
import { signedOut } from "./outbox/outbox";
import { access, person } from "./settings";
import { type Access, type Role, roleValues } from "./types";

/** Whether accounts are on and nobody is signed in here, as far as this device knows. */
export function nobody(): boolean {
  return access.value?.accounts === true && access.value.me === null;
}

/** True where any of these roles is one's own, or accounts are off. */
export function may(...wanted: Role[]): boolean {
  const now = access.value;
  return now === null || !now.accounts || wanted.some((role) => now.me?.roles.includes(role) === true);
}

/** What the server told is forgotten with whoever it was told to; what waits to be sent stays. */
async function forgetCopies(): Promise<void> {
  await (await db()).clear("copies");
  if ("caches" in window) await caches.delete("pictures");
}

function take(told: Access): void {
  if (told.accounts && told.me === null)
    void forgetCopies().catch((problem: unknown) => console.warn("copies could not be forgotten", problem));
  access.value = told;
  if (told.accounts) person.value = told.me?.name ?? "";
  signedOut.value = false;
}

/** Asks the server who is signed in; with no network what was known before stands. */
export async function learnAccess(): Promise<void> {
  try {
    take((await get<Access>("/access", false)).answer);
  } catch (problem) {
    if (!(problem instanceof NotHere || problem instanceof Refused)) throw problem;
  }
}

/** Signs in, joins, switches or leaves: each answers who is signed in then. */
export async function enter(path: string, body: Record<string, unknown>): Promise<void> {
  take(await ask<Access>(`/access/${path}`, body));
}

/** What this device is called in the list of devices, until somebody calls it otherwise. */
export function deviceName(): string {
  const agent = navigator.userAgent;
  const kind = /iPad|Tablet/.test(agent) ? "Tablet" : /Mobi|iPhone|Android/.test(agent) ? "Phone" : "Computer";
  return `${kind} ${new Date().toISOString().slice(0, 10)}`;
}

// What a role does not cover is not shown: one attribute, and style/access.css lists what it hides.
effect(() => {
  document.documentElement.dataset["cannot"] = roleValues.filter((role) => !may(role)).join(" ");
});

// A request was answered with "nobody is signed in": the session ended, or the device was taken off.
const ended = signal(false);
effect(() => {
  if (signedOut.value && !ended.peek()) {
    ended.value = true;
    void learnAccess().finally(() => (ended.value = false));
  }
});
