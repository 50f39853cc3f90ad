/** How much of a sorting is left to do, and how much of the battery: what one plans the rest by. */
import { useEffect, useState } from "preact/hooks";
import { groupsAhead } from "../../settings";
import { w } from "./words";

/** What a browser that tells of the battery says; others do not know it. */
interface Battery extends EventTarget {
  level: number;
  charging: boolean;
}

function useBattery(): string {
  const [said, setSaid] = useState("");
  useEffect(() => {
    const ask = (navigator as { getBattery?: () => Promise<Battery> }).getBattery;
    if (ask === undefined) return;
    let battery: Battery | null = null;
    const tell = () => {
      if (battery === null) return;
      const n = Math.round(battery.level * 100);
      setSaid(w(battery.charging ? "session.charging" : "session.battery", { n }));
    };
    ask.call(navigator).then(
      (found) => {
        battery = found;
        found.addEventListener("levelchange", tell);
        found.addEventListener("chargingchange", tell);
        tell();
      },
      (problem: unknown) => console.warn("the battery cannot be asked", problem),
    );
    return () => {
      battery?.removeEventListener("levelchange", tell);
      battery?.removeEventListener("chargingchange", tell);
    };
  }, []);
  return said;
}

export function Session({ done }: { done: number }) {
  const battery = useBattery();
  const all = groupsAhead.value;
  return (
    <div class="stack tight">
      <label class="field">
        {w("session.all")}
        <input
          type="number"
          inputMode="numeric"
          min={1}
          value={all === 0 ? "" : all}
          onInput={(event) => {
            groupsAhead.value = Math.max(0, Math.trunc(Number(event.currentTarget.value) || 0));
          }}
        />
      </label>
      {all > 0 && <p>{w("session.left", { n: Math.max(0, all - done), done })}</p>}
      {battery !== "" && <p class="soft">{battery}</p>}
    </div>
  );
}
