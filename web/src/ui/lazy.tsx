/** A page that is fetched when it is opened; says so if it cannot be (no network, never opened before). */
import type { FunctionComponent } from "preact";
import { useEffect, useState } from "preact/hooks";
import { t } from "../words";
import { Frame } from "./common";

export function lazy(load: () => Promise<FunctionComponent>): FunctionComponent {
  let loaded: FunctionComponent | null = null;
  return function Later() {
    const [state, setState] = useState<"loading" | "here" | "away">(loaded === null ? "loading" : "here");
    useEffect(() => {
      if (loaded !== null) return;
      load().then(
        (page) => {
          loaded = page;
          setState("here");
        },
        () => setState("away"),
      );
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
  };
}
