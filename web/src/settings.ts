/** What this device remembers between visits: language, names, how the page looks. */
import { effect, signal } from "@preact/signals";
import type { Access } from "./types";

function stored<T>(key: string, otherwise: T) {
  let first = otherwise;
  try {
    const text = localStorage.getItem(`ink.${key}`);
    if (text !== null) first = JSON.parse(text) as T;
  } catch (problem) {
    console.warn("a setting could not be read, its usual value is used", key, problem);
  }
  const held = signal<T>(first);
  effect(() => {
    const text = JSON.stringify(held.value);
    try {
      localStorage.setItem(`ink.${key}`, text);
    } catch (problem) {
      console.warn("a setting could not be kept", key, problem);
    }
  });
  return held;
}

/** What the server said of who is signed in on this device; null before it was ever asked. */
export const access = stored<Access | null>("access", null);
export const language = stored<string>("language", "");
export const person = stored<string>("person", "");
export const people = stored<string[]>("people", []);
export const sunlight = stored<boolean>("sunlight", false);
/** Whether single letters act as keys where there is a keyboard. */
export const keysOn = stored<boolean>("keys", true);
/** Whether the three steps with a sample were done or skipped on this device. */
export const guided = stored<boolean>("guided", false);
export const leftHand = stored<boolean>("leftHand", false);
/** Share of approval numbers that are typed before the reading is shown; a tenth unless raised. */
export const typedFirst = stored<number>("typedFirst", 0.1);
/** The bins of a sorting session, and the last thing done in it. */
export interface BinEntry {
  id: string;
  bin: string;
  count: number;
  unit_id: string | null;
  made_at: string;
  by: string;
}
/** Id of the sorting that these entries belong to on the server; empty before the first. */
export const sorting = stored<string>("sorting", "");
/** About how many groups there are to sort; 0 where nobody said. */
export const groupsAhead = stored<number>("groupsAhead", 0);
export const binEntries = stored<BinEntry[]>("bins", []);
