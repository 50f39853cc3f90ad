/** The words of the pages on what leaves the house. */
import en from "../../words/leaving/en.json";
import { part } from "../../words/part";

export const { w, wn } = part(en, {
  es: () => import("../../words/leaving/es.json"),
  fr: () => import("../../words/leaving/fr.json"),
  pt: () => import("../../words/leaving/pt.json"),
  hi: () => import("../../words/leaving/hi.json"),
  ar: () => import("../../words/leaving/ar.json"),
});
