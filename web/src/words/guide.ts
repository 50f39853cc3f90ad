/** The words of the three steps with a sample, of the help on codes and of the keys. */
import en from "./guide/en.json";
import { part } from "./part";

export const { w, wn } = part(en, {
  es: () => import("./guide/es.json"),
  fr: () => import("./guide/fr.json"),
  pt: () => import("./guide/pt.json"),
  hi: () => import("./guide/hi.json"),
  ar: () => import("./guide/ar.json"),
});
