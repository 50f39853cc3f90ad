/** The page that is shown, kept in the address after `#` so that it can be reopened. */
import { signal } from "@preact/signals";

interface Route {
  page: string;
  id: string;
  sub: string;
  query: URLSearchParams;
}

function read(): Route {
  const [path = "", query = ""] = location.hash.replace(/^#\/?/, "").split("?");
  const [page = "", id = "", sub = ""] = path.split("/");
  try {
    return { page, id: decodeURIComponent(id), sub, query: new URLSearchParams(query) };
  } catch (error) {
    // "%" and no two digits after it: an address that was cut or mistyped names no page
    if (!(error instanceof URIError)) throw error;
    return { page: "nothing", id: "", sub: "", query: new URLSearchParams() };
  }
}

export const route = signal<Route>(read());

window.addEventListener("hashchange", () => {
  route.value = read();
  window.scrollTo(0, 0);
});

export function go(to: string): void {
  location.hash = `#/${to}`;
}

/** Goes on without leaving the present page in the history (a step that should not be gone back to). */
export function replace(to: string): void {
  history.replaceState(null, "", `#/${to}`);
  route.value = read();
  window.scrollTo(0, 0);
}
