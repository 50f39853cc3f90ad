/** What the page finds in a browser and Node has not. */
import { Window } from "happy-dom";

const view = new Window({ url: "http://127.0.0.1/" });
Object.assign(globalThis, {
  window: view,
  document: view.document,
  location: view.location,
  localStorage: view.localStorage,
});
