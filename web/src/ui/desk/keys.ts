/** Keys for a desk. WCAG 2.2, 2.1.4: single letters can be turned off, and never count while one types. */
import { useEffect } from "preact/hooks";
import { go } from "../../route";
import { keysOn } from "../../settings";

/** The list that the keys move in: that beside the page, else the page's own. */
const links = (): HTMLElement[] => {
  const beside = [...document.querySelectorAll<HTMLElement>(".beside a.row")];
  return beside.length > 0 ? beside : [...document.querySelectorAll<HTMLElement>("main ul a.row")];
};

/** Where one is in the list: what has the focus, else what is open. */
function at(rows: HTMLElement[]): number {
  const focused = rows.indexOf(document.activeElement as HTMLElement);
  return focused >= 0 ? focused : rows.findIndex((row) => row.hasAttribute("aria-current"));
}

function move(by: number): boolean {
  const rows = links();
  if (rows.length === 0) return false;
  const now = at(rows);
  const next = now < 0 ? (by > 0 ? 0 : rows.length - 1) : Math.min(rows.length - 1, Math.max(0, now + by));
  rows[next]!.focus();
  return true;
}

function search(): boolean {
  const field = document.querySelector<HTMLElement>('.beside input, main input[type="search"]');
  if (field === null) go("find");
  else field.focus();
  return true;
}

const types = (target: EventTarget | null) =>
  target instanceof Element && target.closest("input, textarea, select, [contenteditable], dialog") !== null;

export function useKeys(help: () => void): void {
  useEffect(() => {
    const pressed = (event: KeyboardEvent) => {
      if (event.ctrlKey || event.altKey || event.metaKey || event.defaultPrevented) return;
      if (types(event.target) || document.querySelector("dialog[open]") !== null) return;
      // Arrows scroll the page unless the list has the focus.
      const arrow = event.key === "ArrowDown" ? 1 : event.key === "ArrowUp" ? -1 : 0;
      if (arrow !== 0) {
        if (links().includes(document.activeElement as HTMLElement) && move(arrow)) event.preventDefault();
        return;
      }
      if (!keysOn.value) return;
      const does: Record<string, () => boolean> = {
        j: () => move(1),
        k: () => move(-1),
        "/": search,
        "?": () => {
          help();
          return true;
        },
      };
      if (does[event.key]?.() === true) event.preventDefault();
    };
    document.addEventListener("keydown", pressed);
    return () => document.removeEventListener("keydown", pressed);
  }, [help]);
}
