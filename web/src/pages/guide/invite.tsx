/** Asks once, on a device that was never used, whether somebody wants to be shown how it goes. */
import { guided } from "../../settings";
import { w } from "../../words/guide";

export function Invite() {
  if (guided.value) return null;
  return (
    <section class="notice" aria-label={w("first.title")}>
      <p>
        <b>{w("first.title")}</b> {w("first.what")}
      </p>
      <div class="pair">
        <a class="button" href="#/first-steps">
          {w("first.start")}
        </a>
        <button type="button" class="button quiet" onClick={() => (guided.value = true)}>
          {w("first.skip")}
        </button>
      </div>
      <p class="hint">{w("first.later")}</p>
    </section>
  );
}
