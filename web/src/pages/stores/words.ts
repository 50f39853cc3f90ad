/** The words of the pages on stock, finding, bins' hand-over and what needs no consignment. */

import { part } from "../../words/part";
import en from "../../words/stores/en.json";

export const { w, wn } = part(en, {
  es: () => import("../../words/stores/es.json"),
  fr: () => import("../../words/stores/fr.json"),
  pt: () => import("../../words/stores/pt.json"),
  hi: () => import("../../words/stores/hi.json"),
  ar: () => import("../../words/stores/ar.json"),
});
