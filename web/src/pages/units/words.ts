/** The words of taking photos, of units beside each other, and of the walk through the cartons. */

import { part } from "../../words/part";
import en from "../../words/units/en.json";

export const { w, wn } = part(en, {
  es: () => import("../../words/units/es.json"),
  fr: () => import("../../words/units/fr.json"),
  pt: () => import("../../words/units/pt.json"),
  hi: () => import("../../words/units/hi.json"),
  ar: () => import("../../words/units/ar.json"),
});
