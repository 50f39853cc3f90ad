/** The photo with the read lines and marks outlined; two fingers, wheel or buttons make it larger. */
import { useEffect, useRef, useState } from "preact/hooks";
import { picture } from "../../api";
import { isFree, type Placed } from "../../marks/order";
import type { Check } from "../../types";
import { named, t } from "../../words";

interface View {
  x: number;
  y: number;
  by: number;
}

const whole: View = { x: 0, y: 0, by: 1 };

/** Keeps the picture over its window, whatever was asked. */
export function held(view: View, width: number, height: number): View {
  const by = Math.max(1, Math.min(12, view.by));
  const between = (value: number, room: number) => Math.min(0, Math.max(room - room * by, value));
  return { by, x: between(view.x, width), y: between(view.y, height) };
}

/** A polygon with `room` more on every side, so that its line runs beside the letters and not over them. */
export function around(polygon: [number, number][], room: number): [number, number][] {
  const after = (points: [number, number][], place: number) => points[(place + 1) % points.length]!;
  const corners = polygon.filter(([x, y], place) => {
    const [nx, ny] = after(polygon, place);
    return x !== nx || y !== ny;
  });
  const turn = Math.sign(
    corners.reduce((sum, [x, y], place) => {
      const [nx, ny] = after(corners, place);
      return sum + x * ny - nx * y;
    }, 0),
  );
  /** The way out, across the side from one corner to another. */
  const out = ([ax, ay]: [number, number], [bx, by]: [number, number]) => {
    const far = Math.hypot(bx - ax, by - ay);
    return [(turn * (by - ay)) / far, (turn * (ax - bx)) / far] as const;
  };
  return corners.map((corner, place) => {
    const [px, py] = out(corners.at(place - 1)!, corner);
    const [nx, ny] = out(corner, after(corners, place));
    // Where two sides all but turn back on themselves, their lines meet far away: not farther than twice.
    const far = room / Math.max(0.5, 1 + px * nx + py * ny);
    return [corner[0] + far * (px + nx), corner[1] + far * (py + ny)];
  });
}

/** Enlarges by `times` about a point of the window. */
export function about(view: View, times: number, px: number, py: number): View {
  const by = Math.max(1, Math.min(12, view.by * times));
  const grown = by / view.by;
  return { by, x: px - (px - view.x) * grown, y: py - (py - view.y) * grown };
}

export function PhotoView({
  photo,
  check,
  marks,
  chosen,
  choose,
}: {
  photo: string;
  check: Check;
  marks: Placed[];
  chosen: number;
  choose: (place: number) => void;
}) {
  const window_ = useRef<HTMLDivElement>(null);
  const [view, setView] = useState<View>(whole);
  const fingers = useRef(new Map<number, { x: number; y: number }>());
  const moved = useRef(false);
  const change = (next: (now: View) => View) => {
    const box = window_.current;
    if (box !== null) setView((now) => held(next(now), box.clientWidth, box.clientHeight));
  };

  useEffect(() => {
    const box = window_.current;
    if (box === null) return;
    const wheel = (event: WheelEvent) => {
      if (!event.ctrlKey) return;
      event.preventDefault();
      const at = box.getBoundingClientRect();
      change((now) => about(now, event.deltaY < 0 ? 1.15 : 1 / 1.15, event.clientX - at.left, event.clientY - at.top));
    };
    box.addEventListener("wheel", wheel, { passive: false });
    return () => box.removeEventListener("wheel", wheel);
  }, []);

  const down = (event: PointerEvent) => {
    fingers.current.set(event.pointerId, { x: event.clientX, y: event.clientY });
    moved.current = false;
  };
  const move = (event: PointerEvent) => {
    const before = fingers.current.get(event.pointerId);
    const box = window_.current;
    if (before === undefined || box === null) return;
    const now = { x: event.clientX, y: event.clientY };
    const at = box.getBoundingClientRect();
    if (fingers.current.size === 2) {
      const other = [...fingers.current].find(([id]) => id !== event.pointerId)![1];
      const far =
        Math.hypot(now.x - other.x, now.y - other.y) / (Math.hypot(before.x - other.x, before.y - other.y) || 1);
      const [mx, my] = [(now.x + other.x) / 2 - at.left, (now.y + other.y) / 2 - at.top];
      const [bx, by] = [(before.x + other.x) / 2 - at.left, (before.y + other.y) / 2 - at.top];
      change((view_) => {
        const larger = about(view_, far, mx, my);
        return { ...larger, x: larger.x + mx - bx, y: larger.y + my - by };
      });
    } else if (view.by > 1) {
      change((view_) => ({ ...view_, x: view_.x + now.x - before.x, y: view_.y + now.y - before.y }));
    }
    if (Math.hypot(now.x - before.x, now.y - before.y) > 2) moved.current = true;
    fingers.current.set(event.pointerId, now);
  };
  const up = (event: PointerEvent) => fingers.current.delete(event.pointerId);
  const middle = (times: number) => {
    const box = window_.current;
    if (box !== null) change((now) => about(now, times, box.clientWidth / 2, box.clientHeight / 2));
  };
  // Two pixels of a small phone's screen, however far the photo is enlarged.
  const room = (2 * check.width) / 330 / view.by;
  const points = (polygon: [number, number][]) =>
    around(polygon, room)
      .map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`)
      .join(" ");

  return (
    <figure class="photo" style={{ margin: 0, "--shape": `${check.width} / ${check.height}` }}>
      <div
        class="stage"
        ref={window_}
        data-zoomed={view.by > 1 ? "" : undefined}
        onPointerDown={down}
        onPointerMove={move}
        onPointerUp={up}
        onPointerCancel={up}
        onPointerLeave={up}
      >
        <svg
          viewBox={`0 0 ${check.width} ${check.height}`}
          role="img"
          aria-label={t("photo.label", { n: check.lines.length })}
          style={{ transform: `translate(${view.x}px, ${view.y}px) scale(${view.by})`, "--by": view.by }}
        >
          <image href={picture(photo, 1600)} width={check.width} height={check.height} />
          {check.lines.map((line) => (
            <g key={line.index}>
              <polygon class="under" points={points(line.polygon)} />
              <polygon points={points(line.polygon)} />
            </g>
          ))}
          {marks.map(({ mark }, place) =>
            mark.polygon.length === 0 ? null : (
              <g key={place}>
                {place === chosen && <polygon class="chosen" points={points(mark.polygon)} />}
                {mark.standing === "doubtful" && <polygon class="doubtful" points={points(mark.polygon)} />}
                {/* biome-ignore lint/a11y/noStaticElementInteractions: each mark's card does the same by keyboard */}
                <polygon
                  class="hit"
                  points={points(mark.polygon)}
                  onClick={() => {
                    if (!moved.current) choose(place);
                  }}
                >
                  <title>{isFree(mark) ? t("free.what") : named("mark", mark.mark)}</title>
                </polygon>
              </g>
            ),
          )}
        </svg>
      </div>
      <figcaption class="small soft">{t("photo.hint")}</figcaption>
      <div class="zoom">
        <button type="button" aria-label={t("photo.larger")} onClick={() => middle(1.6)}>
          +
        </button>
        <button type="button" aria-label={t("photo.smaller")} onClick={() => middle(1 / 1.6)}>
          −
        </button>
        {view.by > 1 && (
          <button type="button" aria-label={t("photo.whole")} onClick={() => setView(whole)}>
            ▣
          </button>
        )}
      </div>
    </figure>
  );
}
