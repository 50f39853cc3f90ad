/** What every page says of itself. */
import { aboutWords, inEnglish, type Key, t, unreviewed } from "../words";

export function Caveat({ long = false }: { long?: boolean }) {
  const key: Key = long ? "caveat.long" : "caveat.short";
  return (
    <p class="caveat">
      {t(key)}
      {unreviewed.value && aboutWords.value.language !== "en" && (
        <>
          {" "}
          <bdi lang="en" dir="ltr">
            {inEnglish(key)}
          </bdi>
        </>
      )}
    </p>
  );
}
