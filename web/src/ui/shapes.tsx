/** Shapes that carry a status beside its word, and small drawings. All take the colour of the text. */
import type { JSX } from "preact";

const drawn: Record<string, JSX.Element> = {
  conflict: <path d="M12 2.5 22.5 21h-21z" fill="currentColor" />,
  cannot_tell: (
    <>
      <circle cx="12" cy="12" r="9.5" fill="none" stroke="currentColor" stroke-width="2.2" />
      <path d="M8.8 9.6c0-4 6.6-4 6.6-.3 0 2.5-3.2 2.5-3.2 5" fill="none" stroke="currentColor" stroke-width="2.2" />
      <rect x="10.9" y="16.4" width="2.6" height="2.6" fill="currentColor" />
    </>
  ),
  missing: (
    <>
      <path d="M15 3H3v18h18v-9" fill="none" stroke="currentColor" stroke-width="2.6" />
      <path d="M18 3h3v6" fill="none" stroke="currentColor" stroke-width="2" stroke-dasharray="2 2.2" />
    </>
  ),
  no_conflict_found: <path d="M12 1.8 22.2 12 12 22.2 1.8 12z" fill="none" stroke="currentColor" stroke-width="2.6" />,
  not_looked_at: (
    <rect
      x="2.5"
      y="5"
      width="19"
      height="14"
      fill="none"
      stroke="currentColor"
      stroke-width="2"
      stroke-dasharray="3.4 2.6"
    />
  ),
  held: <rect x="3" y="3" width="18" height="18" fill="currentColor" />,
  released: <path d="M12 2 22 9.3 18.2 21H5.8L2 9.3z" fill="none" stroke="currentColor" stroke-width="2.4" />,
  not_listed: (
    <>
      <circle cx="12" cy="12" r="9.5" fill="none" stroke="currentColor" stroke-width="2.4" />
      <path d="M5.5 18.5l13-13" stroke="currentColor" stroke-width="2.4" />
    </>
  ),
  near: (
    <path d="M3 9c3-4 6-4 9-1s6 3 9-1M3 17c3-4 6-4 9-1s6 3 9-1" fill="none" stroke="currentColor" stroke-width="2.4" />
  ),
  old: (
    <path
      d="M4 2.5h16M4 21.5h16M6 3c0 6 6 6 6 9s-6 3-6 9M18 3c0 6-6 6-6 9s6 3 6 9"
      fill="none"
      stroke="currentColor"
      stroke-width="2.2"
    />
  ),
  caution: (
    <>
      <path d="M7 2h10l5 5v10l-5 5H7l-5-5V7z" fill="none" stroke="currentColor" stroke-width="0" />
      <path
        d="M4 3v19M4 4h15l-4 4.5L19 13H4"
        fill="none"
        stroke="currentColor"
        stroke-width="2.4"
        stroke-linejoin="round"
      />
    </>
  ),
  note: <path d="M3 6h18M3 12h18M3 18h11" stroke="currentColor" stroke-width="2.2" />,
  good: <path d="M3 17h18M12 4v8" stroke="currentColor" stroke-width="0" />,
  waiting: (
    <path
      d="M3 8l9-5 9 5v11H3zM3 8l9 6 9-6"
      fill="none"
      stroke="currentColor"
      stroke-width="2"
      stroke-linejoin="round"
    />
  ),
  sent: <path d="M3 12h16M13 6l6 6-6 6" fill="none" stroke="currentColor" stroke-width="2.4" />,
  refused: <path d="M20 12H5M11 6l-6 6 6 6" fill="none" stroke="currentColor" stroke-width="2.4" />,
  camera: (
    <>
      <path d="M2 4h20M2 20h20" stroke="currentColor" stroke-width="2.2" />
      <path
        d="M12 6.500c2.300 3 3.700 4.800 3.700 7a3.700 3.700 0 0 1-7.400 0c0-2.200 1.400-4 3.700-7z"
        fill="currentColor"
      />
    </>
  ),
  kept: <path d="M5 2h14v20l-7-5-7 5z" fill="none" stroke="currentColor" stroke-width="2.2" stroke-linejoin="round" />,
  more: <path d="M4 7h16M4 12h16M4 17h16" stroke="currentColor" stroke-width="2.4" />,
  person: (
    <path
      d="M12 3a4.5 4.5 0 1 1 0 9 4.5 4.5 0 0 1 0-9zM3.5 21c1-5 4.500-6.500 8.500-6.500s7.500 1.500 8.500 6.500"
      fill="none"
      stroke="currentColor"
      stroke-width="2.2"
    />
  ),
  undo: <path d="M9 5L4 10l5 5M4 10h10c5 0 6 3 6 8" fill="none" stroke="currentColor" stroke-width="2.4" />,
};

/** Shapes that point the way one reads: turned round where that is from right to left. */
const turning = ["undo", "sent", "refused"];

export function Shape({ of, label }: { of: string; label?: string }) {
  return (
    <svg
      class={turning.includes(of) ? "turns" : undefined}
      viewBox="0 0 24 24"
      role={label === undefined ? undefined : "img"}
      aria-label={label}
      aria-hidden={label === undefined ? "true" : undefined}
      focusable="false"
    >
      {drawn[of] ?? drawn["note"]}
    </svg>
  );
}

export function Drop() {
  return (
    <svg viewBox="0 0 64 64" aria-hidden="true" focusable="false">
      <path d="M8 10h48M8 54h48" stroke="currentColor" stroke-width="4" />
      <path d="M32 17c6 8 10 13 10 19a10 10 0 0 1-20 0c0-6 4-11 10-19z" fill="currentColor" />
    </svg>
  );
}

/** Drawings for the doors of the first page. */
const scenes: Record<string, JSX.Element> = {
  one: (
    <>
      <path
        d="M10 30c0-14 10-20 22-20s22 6 22 20-10 24-22 24-22-10-22-24z"
        fill="none"
        stroke="currentColor"
        stroke-width="2.5"
      />
      <path d="M20 27h24M24 34h16M22 41h12" stroke="currentColor" stroke-width="2.5" />
      <path d="M10 28C4 24 2 16 3 8M54 28c6-4 8-12 7-20" fill="none" stroke="currentColor" stroke-width="2" />
    </>
  ),
  many: (
    <>
      <path d="M4 34h16v20H4zM24 34h16v20H24zM44 34h16v20H44z" fill="none" stroke="currentColor" stroke-width="2.5" />
      <path d="M8 28c0-8 8-8 8 0zM48 28c0-8 8-8 8 0zM28 28c0-8 8-8 8 0zM28 18c0-8 8-8 8 0z" fill="currentColor" />
    </>
  ),
  sample: (
    <>
      <path
        d="M6 6h14v14H6zM25 6h14v14H25zM44 6h14v14H44zM6 25h14v14H6zM25 25h14v14H25zM44 25h14v14H44zM6 44h14v14H6zM44 44h14v14H44z"
        fill="none"
        stroke="currentColor"
        stroke-width="2.5"
      />
      <path d="M25 44h14v14H25zM44 6h14v14H44zM6 25h14v14H6z" fill="currentColor" />
    </>
  ),
  roll: (
    <>
      <path d="M14 4h36v44H14z" fill="none" stroke="currentColor" stroke-width="2.5" />
      <path d="M8 12v48h36M22 16h20M22 24h14" fill="none" stroke="currentColor" stroke-width="2.5" />
    </>
  ),
};

export function Scene({ of }: { of: string }) {
  return (
    <svg viewBox="0 0 64 64" aria-hidden="true" focusable="false">
      {scenes[of]}
    </svg>
  );
}

/** Bins: each its own outline, told apart with no colour. */
const bins: Record<string, JSX.Element> = {
  sealed: (
    <path d="M3 7l9-4 9 4v11l-9 4-9-4zM3 7l9 4 9-4M12 11v11" fill="none" stroke="currentColor" stroke-width="2" />
  ),
  opened: <path d="M3 10v10h18V10M3 10l4-6M21 10l-4-6M3 10h18" fill="none" stroke="currentColor" stroke-width="2" />,
  loose: <path d="M3 8c0-4 7-4 7 0zM14 12c0-4 7-4 7 0zM5 19c0-4 7-4 7 0z" fill="currentColor" />,
  medical: <path d="M2 6h20v12H2zM2 10h20M2 14h20" fill="none" stroke="currentColor" stroke-width="2" />,
  ear_loop: (
    <>
      <rect x="7" y="6" width="10" height="12" fill="none" stroke="currentColor" stroke-width="2" />
      <path d="M7 8C0 6 0 18 7 16M17 8c7-2 7 10 0 8" fill="none" stroke="currentColor" stroke-width="2" />
    </>
  ),
  child: (
    <>
      <circle cx="12" cy="7" r="4.5" fill="none" stroke="currentColor" stroke-width="2" />
      <path
        d="M8 7.500h8M6 22c0-7 2.500-8.500 6-8.500s6 1.500 6 8.500"
        fill="none"
        stroke="currentColor"
        stroke-width="2"
      />
    </>
  ),
  no_print: <path d="M4 3h16v18H4z" fill="none" stroke="currentColor" stroke-width="2" stroke-dasharray="3 2.500" />,
  discard: <path d="M4 4l16 16M20 4L4 20" stroke="currentColor" stroke-width="4" />,
  not_sure: drawn["cannot_tell"]!,
};

export function BinShape({ of }: { of: string }) {
  return (
    <svg viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      {bins[of]}
    </svg>
  );
}
