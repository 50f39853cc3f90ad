/**
 * The words of the page on what leaves the house. They come
 * with it and not with the first screen; `t` has the others.
 */
import { effect, signal } from "@preact/signals";
import { language } from "../../settings";
import en from "../../words/leaving/en.json";

export type LeavingKey = keyof typeof en;
type Words = Record<string, string>;

const files: Record<string, () => Promise<{ default: Words }>> = {
  es: () => import("../../words/leaving/es.json"),
  fr: () => import("../../words/leaving/fr.json"),
  pt: () => import("../../words/leaving/pt.json"),
  hi: () => import("../../words/leaving/hi.json"),
};
const english: Words = en;
const current = signal<Words>(english);

effect(() => {
  const spoken = language.value;
  const load = files[spoken];
  if (load === undefined) current.value = english;
  else
    load().then(
      (words) => {
        if (language.value === spoken) current.value = words.default;
      },
      (problem: unknown) => console.warn("words could not be fetched, English is shown", problem),
    );
});

export function w(key: LeavingKey, values: Record<string, string | number> = {}): string {
  const sentence = current.value[key] ?? english[key] ?? key;
  return sentence.replace(/\{(\w+)\}/g, (whole, name: string) => String(values[name] ?? whole));
}

/** The word for a code that the server sent. */
export function wn(prefix: string, code: string): string {
  const key = `${prefix}.${code}`;
  return current.value[key] ?? english[key] ?? code.replaceAll("_", " ");
}
