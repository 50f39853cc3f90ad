/**
 * Every sentence shown, by key and language. English is built in; the others come when chosen. Words
 * that reports share stand in `rules/messages/`, from which `shared/` is made; the page's own stand here.
 */
import { computed, signal } from "@preact/signals";
import { language } from "../settings";
import type { Language } from "../types";
import { setApart } from "./set-apart";
import en from "./whole/en";

export type Key = Exclude<keyof typeof en, "_about">;
interface Aboutness {
  language: string;
  name: string;
  made_by: "person" | "machine";
  reviewed_by: string;
  rtl?: boolean;
}
type Words = Record<string, string>;

export const languages = [
  { code: "en", name: "English" },
  { code: "es", name: "Español" },
  { code: "fr", name: "Français" },
  { code: "pt", name: "Português" },
  { code: "hi", name: "हिन्दी" },
  { code: "ar", name: "العربية" },
] as const satisfies readonly { code: Language; name: string }[];

const files: Record<string, () => Promise<{ default: object }>> = {
  es: () => import("./whole/es"),
  fr: () => import("./whole/fr"),
  pt: () => import("./whole/pt"),
  hi: () => import("./whole/hi"),
  ar: () => import("./whole/ar"),
};

const english = en as unknown as Words & { _about: Aboutness };
const current = signal<Words & { _about: Aboutness }>(english);

export const aboutWords = computed<Aboutness>(() => current.value._about);
/** True where nobody who knows the language and the trade has read these words. */
export const unreviewed = computed(() => current.value._about.reviewed_by === "");

/** From what was to what is, the way that the language runs. */
export const onward = computed(() => (aboutWords.value.rtl === true ? "←" : "→"));

function fill(sentence: string, values: Record<string, string | number | null>): string {
  return sentence.replace(/\{(\w+)\}/g, (whole, name: string) => {
    const value = values[name];
    return typeof value === "number" ? number(value) : setApart(value ?? whole);
  });
}

export function t(key: Key, values: Record<string, string | number | null> = {}): string {
  return fill(current.value[key] ?? english[key]!, values);
}

export function inEnglish(key: Key): string {
  return english[key]!;
}

/** A word for a code that the server sent; the code itself, made readable, where there is none. */
export function named(prefix: string, code: string): string {
  return current.value[`${prefix}.${code}`] ?? english[`${prefix}.${code}`] ?? code.replaceAll("_", " ");
}

export function has(key: string): key is Key {
  return key in english;
}

export function guess(): string {
  const wanted = typeof navigator === "undefined" ? [] : navigator.languages.map((name) => name.slice(0, 2));
  return wanted.find((code) => languages.some((known) => known.code === code)) ?? "en";
}

export async function speak(code: string): Promise<void> {
  const load = files[code];
  current.value = load === undefined ? english : ((await load()).default as Words & { _about: Aboutness });
  document.documentElement.lang = load === undefined ? "en" : code;
  document.documentElement.dir = current.value._about.rtl === true ? "rtl" : "ltr";
  language.value = load === undefined ? "en" : code;
}

/** British order in English: "25 Nov 2026" reads the same everywhere. */
const dates = () => {
  if (language.value === "" || language.value === "en") return "en-GB";
  // the digits of the print and of the reports, in every language
  return language.value === "ar" ? "ar-u-ca-gregory-nu-latn" : language.value;
};

/** A count as the language writes it: 40,000 in English. */
export function number(value: number): string {
  return value < 10_000 ? String(value) : value.toLocaleString(dates());
}

const formats = new Map<string, Intl.DateTimeFormat>();

/** Making a format costs a slow phone tens of milliseconds; a page shows many dates. */
function format(of: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
  const key = `${dates()} ${of.timeStyle ?? ""}`;
  const known = formats.get(key) ?? new Intl.DateTimeFormat(dates(), of);
  formats.set(key, known);
  return known;
}

/** In Arabic the medium form is three numbers with marks between them; the long one names the month. */
const dateStyle = () => (language.value === "ar" ? "long" : "medium");

export function day(iso: string): string {
  return format({ dateStyle: dateStyle() }).format(new Date(iso.length === 10 ? `${iso}T12:00:00` : iso));
}

export function moment(iso: string): string {
  return format({ dateStyle: dateStyle(), timeStyle: "short" }).format(new Date(iso));
}
