/** A page that is fetched when it is opened; says so if it cannot be (no network, never opened before). */
import type { FunctionComponent } from "preact";
import { useEffect, useState } from "preact/hooks";
import { t } from "../words";
import { Frame } from "./common";

interface Lazy extends FunctionComponent {
  /** Fetches the page before it is opened; that it cannot be fetched is said when it is opened. */
  fetch: () => Promise<void>;
}

export function lazy(load: () => Promise<FunctionComponent>): Lazy {
  let loaded: FunctionComponent | null = null;
  const fetch = () =>
    load().then(
      (page) => {
        loaded = page;
      },
      (problem: unknown) => console.warn("a page could not be fetched", problem),
    );
  function Later() {
    const [state, setState] = useState<"loading" | "here" | "away">(loaded === null ? "loading" : "here");
    useEffect(() => {
      // It may have come between the first drawing and now, fetched ahead.
      if (loaded !== null) setState("here");
      else void fetch().then(() => setState(loaded === null ? "away" : "here"));
    }, []);
    if (loaded !== null) {
      const Page = loaded;
      return <Page />;
    }
    return (
      <Frame title="…">
        <h1>{state === "away" ? t("nowhere.title") : "…"}</h1>
        <p role="status">{state === "away" ? t("problem.away") : ""}</p>
      </Frame>
    );
  }
  return Object.assign(Later, { fetch });
}
