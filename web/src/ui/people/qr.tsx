/** A QR code from its rows, dark on white in every look of the page: cameras need the contrast. */
export function Qr({ rows, label }: { rows: string[]; label: string }) {
  const size = rows.length + 8;
  const path = rows
    .flatMap((row, y) => [...row].flatMap((module, x) => (module === "1" ? [`M${x + 4} ${y + 4}h1v1h-1z`] : [])))
    .join("");
  return (
    <svg class="qr" viewBox={`0 0 ${size} ${size}`} role="img" aria-label={label} shape-rendering="crispEdges">
      <path d={path} fill="#000" />
    </svg>
  );
}
