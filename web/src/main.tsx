import { effect } from "@preact/signals";
import { render } from "preact";
import { learnAccess } from "./access";
import { learnAbout } from "./api";
import { App, warm } from "./app";
import { keepSending, waitingCount } from "./outbox/outbox";
import { language, leftHand, sunlight } from "./settings";
import { guess, speak } from "./words";
import "./style/base.css";
import "./style/parts.css";
import "./style/access.css";
import "./style/desk.css";

effect(() => {
  document.documentElement.toggleAttribute("data-sun", sunlight.value);
  document.documentElement.dataset["hand"] = leftHand.value ? "left" : "right";
});

/** Once nothing else is to be done; browsers that cannot say when (Safari) a moment later. */
function whenIdle(run: () => void): void {
  if ("requestIdleCallback" in window) requestIdleCallback(run);
  else setTimeout(run, 300);
}

async function start(): Promise<void> {
  await speak(language.value || guess());
  const place = document.getElementById("page");
  if (place !== null) render(<App />, place);
  await learnAccess();
  keepSending();
  await learnAbout();
  whenIdle(warm);
  if ("serviceWorker" in navigator && import.meta.env.PROD) await navigator.serviceWorker.register("/sw.js");
}

// Closing with unsent photos is no loss (they lie on the phone), but they go only while this is open.
window.addEventListener("beforeunload", (event) => {
  if (waitingCount.value > 0) event.preventDefault();
});

void start();
