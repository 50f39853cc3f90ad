import { language } from "../settings";

const rightToLeft = /\p{Script=Arabic}/u;

/**
 * A value for a sentence from right to left, set apart by the signs of UAX #9, 2.4: a date or a number
 * with dashes would run from its end there. One in such letters, or with such signs in it, stays.
 */
export function setApart(value: string): string {
  const core = value.trim();
  if (language.value !== "ar" || core === "" || core.includes("\u2066") || rightToLeft.test(core)) return value;
  return value.replace(core, () => `\u2066${core}\u2069`);
}
