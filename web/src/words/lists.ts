/** Lists of words and values as the language writes them; what people type as a list, taken apart. */
import { language } from "../settings";
import { setApart } from "./set-apart";

type Sign = "," | ";" | "·";

/** U+060C and U+061B: a comma that hangs the other way would stand at the wrong end of its word. */
const arabic: Record<Sign, string> = { ",": "، ", ";": "؛ ", "·": " · " };
const latin: Record<Sign, string> = { ",": ", ", ";": "; ", "·": " · " };

/** The sign between two of a list, with its spaces. */
export function between(sign: Sign = ","): string {
  return (language.value === "ar" ? arabic : latin)[sign];
}

/** Values that stand beside each other, in the order that the language runs; empty ones are left out. */
export function inARow(values: readonly (string | null | undefined)[], sign: Sign = ","): string {
  return values
    .filter((value): value is string => typeof value === "string" && value !== "")
    .map(setApart)
    .join(between(sign));
}

const formats = new Map<string, Intl.ListFormat>();

/** The list of a sentence, with the language's own "and" before its last; British in English, as dates are. */
export function inSentence(words: readonly string[]): string {
  // Safari 14.0 has no list formats; the sentence can be understood without its "and".
  if (typeof Intl.ListFormat !== "function") return inARow(words);
  const spoken = language.value === "" || language.value === "en" ? "en-GB" : language.value;
  const format = formats.get(spoken) ?? new Intl.ListFormat(spoken, { type: "conjunction" });
  formats.set(spoken, format);
  return format.format(words.map(setApart));
}

/** What a person typed with commas, semicolons or lines between, in the signs of any of the languages. */
export function takenApart(typed: string): string[] {
  return typed
    .split(/[,;،؛\n]/)
    .map((one) => one.trim())
    .filter(Boolean);
}
