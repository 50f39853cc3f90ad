/** How sharp a picture is: the width of its sharpest edges, a direction at a time. */

/** Grey values 0-255, row by row; `scale` is photo pixels per pixel here (1 = not reduced). */
export interface Grey {
  width: number;
  height: number;
  values: Uint8Array | Uint8ClampedArray;
  scale: number;
}

/** Edges of one direction: the square of twice the slope, a whole number, and the width of each. */
interface Edges {
  slopes: number[];
  sigmas: number[];
}

/** No slope of grey values, doubled and squared, is larger. */
const steepest = 2 * 255 * 255;

/** The tangent of 22.5 degrees: where one of eight directions ends and the next begins. */
const eighth = Math.SQRT2 - 1;

/** Of eight directions, opposite ones being one: 0 across, 1 down a slope to the right, 2 down, 3 up. */
function direction(gx: number, gy: number): 0 | 1 | 2 | 3 {
  const across = Math.abs(gx);
  const down = Math.abs(gy);
  if (down < across * eighth) return 0;
  if (across < down * eighth) return 2;
  return gx > 0 === gy > 0 ? 1 : 3;
}

/** Width in the middle of the steepest twentieth, of at least `least` edges; null: there are fewer. */
function widthOf({ slopes, sigmas }: Edges, least: number): number | null {
  if (slopes.length < least) return null;
  const wanted = Math.max(least, Math.floor(slopes.length / 20));
  const counts = new Uint32Array(steepest + 1);
  for (const slope of slopes) counts[slope]!++;
  // Slopes are whole numbers, so counting finds the last one that is wanted without sorting them.
  let last = steepest;
  let steeper = 0;
  while (steeper + counts[last]! < wanted) steeper += counts[last--]!;
  let equal = wanted - steeper;
  const best = new Float64Array(wanted);
  let at = 0;
  for (let place = 0; place < slopes.length; place++) {
    const slope = slopes[place]!;
    if (slope > last || (slope === last && equal-- > 0)) best[at++] = sigmas[place]!;
  }
  return best.sort()[Math.floor(best.length / 2)]!;
}

/**
 * Width of the sharpest edges anywhere in the picture, in pixels here, over all directions and in the
 * direction where it is widest: when nothing is sharp the camera did not focus, and when only edges
 * of one direction are sharp it moved. Holds even where no letter can be found any more.
 */
export function sharpness(grey: Grey): { all: number; worst: number } | null {
  const { width, height, values } = grey;
  const reach = 8;
  const bins: Edges[] = [0, 1, 2, 3].map(() => ({ slopes: [], sigmas: [] }));
  for (let y = reach; y < height - reach; y += 2) {
    for (let x = reach; x < width - reach; x += 2) {
      const at = y * width + x;
      const gx = values[at + 1]! - values[at - 1]!;
      const gy = values[at + width]! - values[at - width]!;
      const square = gx * gx + gy * gy;
      // Flatter than three grey values a pixel: cloth, not print.
      if (square < 36) continue;
      const slope = Math.sqrt(square);
      const ux = gx / slope;
      const uy = gy / slope;
      let high = values[at]!;
      let low = high;
      for (let far = 1; far <= reach; far++) {
        const up = values[((y + uy * far + 0.5) | 0) * width + ((x + ux * far + 0.5) | 0)]!;
        if (up < high - 2) break;
        if (up > high) high = up;
      }
      for (let far = 1; far <= reach; far++) {
        const down = values[((y - uy * far + 0.5) | 0) * width + ((x - ux * far + 0.5) | 0)]!;
        if (down > low + 2) break;
        if (down < low) low = down;
      }
      if (high - low < 20) continue;
      const edges = bins[direction(gx, gy)]!;
      edges.slopes.push(square);
      edges.sigmas.push((high - low) / ((slope / 2) * Math.sqrt(2 * Math.PI)));
    }
  }
  const together = { slopes: bins.flatMap(({ slopes }) => slopes), sigmas: bins.flatMap(({ sigmas }) => sigmas) };
  // A direction with few edges is corners and cloth: it says nothing of how sharp that direction is.
  const few = Math.max(60, together.slopes.length * 0.08);
  const each = bins
    .filter((edges) => edges.slopes.length >= few)
    .map((edges) => widthOf(edges, 60))
    .filter((value): value is number => value !== null);
  const all = widthOf(together, 100);
  return all === null ? null : { all, worst: Math.max(all, ...each) };
}
