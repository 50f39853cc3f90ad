/** The piece of the photo that a mark was read from, upright and enlarged. */
import { picture } from "../../api";
import type { Polygon } from "../../types";

export interface Frame {
  /** Centre in photo pixels, size along and across the writing, and the turn that makes it upright. */
  x: number;
  y: number;
  width: number;
  height: number;
  degrees: number;
}

/**
 * The upright frame of a polygon whose first half runs along the top of the writing, from its start,
 * and whose second half comes back along the bottom (four corners or a curve).
 */
export function frameOf(polygon: Polygon, room = 0.35): Frame | null {
  if (polygon.length < 4) return null;
  const half = Math.floor(polygon.length / 2);
  const start = polygon[0]!;
  const end = polygon[half - 1]!;
  const angle = Math.atan2(end[1] - start[1], end[0] - start[0]);
  const cos = Math.cos(angle);
  const sin = Math.sin(angle);
  const turned = polygon.map(([x, y]) => [x * cos + y * sin, -x * sin + y * cos] as const);
  const xs = turned.map(([x]) => x);
  const ys = turned.map(([, y]) => y);
  const [left, right] = [Math.min(...xs), Math.max(...xs)];
  const [top, bottom] = [Math.min(...ys), Math.max(...ys)];
  const margin = (bottom - top) * room;
  // Where the letters end is known less well than how high they stand.
  const beside = 2 * margin;
  const mx = (left + right) / 2;
  const my = (top + bottom) / 2;
  return {
    x: mx * cos - my * sin,
    y: mx * sin + my * cos,
    width: right - left + 2 * beside,
    height: bottom - top + 2 * margin,
    degrees: (angle * 180) / Math.PI,
  };
}

export function Crop({
  photo,
  polygon,
  width,
  height,
  label,
}: {
  photo: string;
  polygon: Polygon;
  width: number;
  height: number;
  label: string;
}) {
  const frame = frameOf(polygon);
  if (frame === null || width === 0) return null;
  return (
    <div class="crop">
      <svg
        viewBox={`${-frame.width / 2} ${-frame.height / 2} ${frame.width} ${frame.height}`}
        role="img"
        aria-label={label}
        preserveAspectRatio="xMidYMid meet"
      >
        <g transform={`rotate(${-frame.degrees}) translate(${-frame.x} ${-frame.y})`}>
          <image href={picture(photo, 2400)} x="0" y="0" width={width} height={height} />
        </g>
      </svg>
    </div>
  );
}
