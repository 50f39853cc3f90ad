/**
 * The words of one part of the page. They come with that part and not with the first screen; `t` has
 * the others. Each part's keys are those of its English file.
 */
import { effect, signal } from "@preact/signals";
import { language } from "../settings";
import { setApart } from "./set-apart";

type Words = Record<string, string>;

export function part<Key extends string>(
  english: Record<Key, string>,
  files: Record<string, () => Promise<{ default: Words }>>,
) {
  const first: Words = english;
  const current = signal<Words>(first);
  effect(() => {
    const spoken = language.value;
    const load = files[spoken];
    if (load === undefined) current.value = first;
    else
      load().then(
        (words) => {
          if (language.value === spoken) current.value = words.default;
        },
        (problem: unknown) => console.warn("words could not be fetched, English is shown", problem),
      );
  });
  return {
    w(key: Key, values: Record<string, string | number> = {}): string {
      const sentence = current.value[key] ?? first[key] ?? key;
      return sentence.replace(/\{(\w+)\}/g, (whole, name: string) => setApart(String(values[name] ?? whole)));
    },
    /** The word for a code that the server sent. */
    wn(prefix: string, code: string): string {
      const key = `${prefix}.${code}`;
      return current.value[key] ?? first[key] ?? code.replaceAll("_", " ");
    },
  };
}
