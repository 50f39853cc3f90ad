/**
 * The first look: what a phone can say about a photo before it is sent. Plain functions over grey values,
 * so that they run the same in the page, in tests and in the measurement over whole folders of photos.
 *
 * Not the server's measure of a photo (`server/inkwitness/photo/quality.py`), which knows where the print
 * is: facts and states have the server's names, the limits are this look's own and hold for a copy whose
 * longer side is `measuredSide`.
 */
import type { PhotoFact, QualityState } from "../types";
import { type Grey, sharpness } from "./sharpness";

export interface FirstLook {
  fact: PhotoFact;
  state: QualityState;
  value: number;
}

/**
 * The floor of the server's reader, an x-height in photo pixels (SMALL_LETTERS in
 * `server/inkwitness/photo/quality.py`; a test keeps the two alike), and the height of capitals against it
 * (LETTERS_PER_CORE in `reading/regions.py`). A box around a letter is about a pixel higher: its soft edges.
 */
export const floor = { xHeight: 7, capitals: 1.35, edges: 1 };

/**
 * Limits, chosen on made photographs and copies of them that were blurred, moved, darkened, burnt out
 * and reduced; `python -m tests.web.quality FOLDER` measures how many of each slip through. They
 * advise, they never refuse a photo.
 */
export const limits = {
  /** Width of the sharpest edges of the least sharp direction (standard deviation, pixels here). */
  blur: 2.2,
  /** Share of the picture that is burnt out and not the ground. */
  glare: 0.005,
  /** Share of the picture that is white up to its border, from which on the ground is white. */
  white_ground: 0.02,
  /** 95th percentile of grey in the middle: nothing there is brighter. */
  too_dark: 50,
  /** Height of the boxes of small print, mostly capitals, in photo pixels: the server's floor. */
  small_letters: floor.xHeight * floor.capitals + floor.edges,
};

/**
 * What `python -m tests.web.quality` measured on made photographs with known print: of the copies
 * spoilt in that way (blur: the worse of the four ways, a hand that moved), how many slipped through,
 * and on how many of the photographs as they are the fault was named. Measure again when a limit moves.
 */
export const missed = {
  photos: 90,
  blur: { missed: 6, of: 90, named: 10 },
  glare: { missed: 1, of: 90, named: 3 },
  too_dark: { missed: 0, of: 90, named: 0 },
  small_letters: { missed: 16, of: 90, named: 4 },
} as const;

/** Long side to which a photo is reduced before it is measured; `limits.blur` holds for this size. */
export const measuredSide = 1600;

function percentile(histogram: Uint32Array, share: number): number {
  let total = 0;
  for (const count of histogram) total += count;
  let seen = 0;
  for (let grey = 0; grey < 256; grey++) {
    seen += histogram[grey]!;
    if (seen >= total * share) return grey;
  }
  return 255;
}

/** Grey value that `share` of the pixels in the middle four fifths stay under. */
export function brightness(grey: Grey, share = 0.95): number {
  const histogram = new Uint32Array(256);
  const left = Math.floor(grey.width / 10);
  const top = Math.floor(grey.height / 10);
  for (let y = top; y < grey.height - top; y += 2) {
    for (let x = left; x < grey.width - left; x += 2) histogram[grey.values[y * grey.width + x]!]!++;
  }
  return percentile(histogram, share);
}

interface Box {
  left: number;
  top: number;
  right: number;
  bottom: number;
  size: number;
}

/** Sums over rectangles in constant time; a photo of `measuredSide` stays far below 2^32. */
function integral(grey: Grey): Uint32Array {
  const { width, height, values } = grey;
  const sums = new Uint32Array((width + 1) * (height + 1));
  for (let y = 0, from = 0, at = width + 2; y < height; y++, at++) {
    let row = 0;
    for (let x = 0; x < width; x++, from++, at++) {
      row += values[from]!;
      sums[at] = sums[at - width - 1]! + row;
    }
  }
  return sums;
}

/** 1 where a pixel is clearly darker than the mean of a square around it. */
function inked(grey: Grey): Uint8Array {
  const { width, height, values } = grey;
  const sums = integral(grey);
  const reach = Math.max(8, Math.round(Math.max(width, height) / 55));
  const out = new Uint8Array(width * height);
  for (let y = 0, at = 0; y < height; y++) {
    const first = Math.max(0, y - reach);
    const after = Math.min(height, y + reach + 1);
    const above = first * (width + 1);
    const below = after * (width + 1);
    for (let x = 0; x < width; x++, at++) {
      const left = x > reach ? x - reach : 0;
      const right = x + reach < width ? x + reach + 1 : width;
      const sum = sums[below + right]! - sums[above + right]! - sums[below + left]! + sums[above + left]!;
      const mean = sum / ((after - first) * (right - left));
      const lack = mean - values[at]!;
      if (lack > 9 && lack > mean * 0.09) out[at] = 1;
    }
  }
  return out;
}

/** Boxes of connected ink that could be letters by their size and shape. */
function blobs(grey: Grey): Box[] {
  const { width, height } = grey;
  const ink = inked(grey);
  const stack = new Int32Array(width * height);
  const largest = Math.max(width, height) / 8;
  const out: Box[] = [];
  for (let start = 0; start < ink.length; start++) {
    if (ink[start] !== 1) continue;
    let depth = 0;
    let area = 0;
    stack[depth++] = start;
    ink[start] = 2;
    let left = width,
      right = 0,
      top = height,
      bottom = 0;
    while (depth > 0) {
      const at = stack[--depth]!;
      const x = at % width;
      const y = (at - x) / width;
      area++;
      if (x < left) left = x;
      if (x > right) right = x;
      if (y < top) top = y;
      if (y > bottom) bottom = y;
      for (let dy = -1; dy <= 1; dy++) {
        const ny = y + dy;
        if (ny < 0 || ny >= height) continue;
        for (let dx = -1; dx <= 1; dx++) {
          const nx = x + dx;
          if (nx < 0 || nx >= width) continue;
          const next = ny * width + nx;
          if (ink[next] === 1) {
            ink[next] = 2;
            stack[depth++] = next;
          }
        }
      }
    }
    const wide = right - left + 1;
    const tall = bottom - top + 1;
    const size = Math.max(wide, tall);
    const fill = area / (wide * tall);
    if (size >= 6 && size <= largest && Math.min(wide, tall) >= 2 && area >= 10 && fill > 0.12 && fill < 0.95) {
      out.push({ left, top, right, bottom, size });
    }
  }
  return out;
}

/** Those blobs that stand in a row with at least two others of about their size. */
export function letters(grey: Grey): Box[] {
  const all = blobs(grey).slice(0, 4000);
  const cell = 64;
  const grid = new Map<number, Box[]>();
  const key = (x: number, y: number) => Math.floor(x / cell) * 4096 + Math.floor(y / cell);
  for (const box of all) {
    const at = key((box.left + box.right) / 2, (box.top + box.bottom) / 2);
    const there = grid.get(at);
    if (there === undefined) grid.set(at, [box]);
    else there.push(box);
  }
  return all.filter((box) => {
    const x = (box.left + box.right) / 2;
    const y = (box.top + box.bottom) / 2;
    const near: [number, number][] = [];
    const reach = box.size * 2.2;
    for (let gx = Math.floor((x - reach) / cell); gx <= (x + reach) / cell; gx++) {
      for (let gy = Math.floor((y - reach) / cell); gy <= (y + reach) / cell; gy++) {
        for (const other of grid.get(gx * 4096 + gy) ?? []) {
          if (other === box || other.size > box.size * 1.7 || other.size < box.size * 0.6) continue;
          const dx = (other.left + other.right) / 2 - x;
          const dy = (other.top + other.bottom) / 2 - y;
          if (Math.hypot(dx, dy) <= reach) near.push([dx, dy]);
        }
      }
    }
    // Two of them in one straight row with this one: on both sides, or one behind the other.
    return near.some(([ax, ay], first) =>
      near.slice(first + 1).some(([bx, by]) => {
        const sine = Math.abs(ax * by - ay * bx) / (Math.hypot(ax, ay) * Math.hypot(bx, by) || 1);
        return sine < 0.25;
      }),
    );
  });
}

/** Height of the letters in photo pixels, as the lower quartile of the letters found; null: too few. */
export function letterHeight(grey: Grey, found: readonly Box[] = letters(grey)): number | null {
  if (found.length < 8) return null;
  const sizes = found.map((box) => box.size).sort((a, b) => a - b);
  return sizes[Math.floor(sizes.length * 0.35)]! * grey.scale;
}

/** Side of the blocks in which burnt-out patches are looked for, in pixels here. */
const block = 8;

/** Blocks that are white without any texture: 1. White cloth that is merely bright keeps its grain. */
function whiteBlocks({ width, height, values }: Grey): { columns: number; rows: number; burnt: Uint8Array } {
  const columns = Math.floor(width / block);
  const rows = Math.floor(height / block);
  const burnt = new Uint8Array(columns * rows);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      let white = 0;
      for (let dy = 0; dy < block; dy++) {
        const from = (row * block + dy) * width + column * block;
        for (let dx = 0; dx < block; dx++) if (values[from + dx]! >= 250) white++;
      }
      if (white >= 60) burnt[row * columns + column] = 1;
    }
  }
  return { columns, rows, burnt };
}

/** Share of white pixels in a box, with an edge of two around it. */
function whiteIn({ width, height, values }: Grey, box: Box): number {
  let white = 0;
  let all = 0;
  for (let y = Math.max(0, box.top - 2); y <= Math.min(height - 1, box.bottom + 2); y++) {
    for (let x = Math.max(0, box.left - 2); x <= Math.min(width - 1, box.right + 2); x++) {
      all++;
      if (values[y * width + x]! >= 250) white++;
    }
  }
  return white / all;
}

/** Blocks within a letter's height of a letter whose own ground is not white: print that is lit well. */
function besideLetters(grey: Grey, columns: number, rows: number, found: readonly Box[]): Uint8Array {
  const beside = new Uint8Array(columns * rows);
  for (const box of found) {
    if (whiteIn(grey, box) > 0.25) continue;
    const place = (at: number, most: number) => Math.min(most, Math.max(0, Math.floor(at / block)));
    const right = place(box.right + box.size, columns - 1);
    for (let row = place(box.top - box.size, rows - 1); row <= place(box.bottom + box.size, rows - 1); row++) {
      beside.fill(1, row * columns + place(box.left - box.size, columns - 1), row * columns + right + 1);
    }
  }
  return beside;
}

/** Patches of white blocks: how many blocks, how many of them beside letters, and whether it ends at the border. */
function patches(grey: Grey, found: readonly Box[]): { size: number; beside: number; open: boolean }[] {
  const { columns, rows, burnt } = whiteBlocks(grey);
  const beside = besideLetters(grey, columns, rows, found);
  const out: { size: number; beside: number; open: boolean }[] = [];
  const stack: number[] = [];
  const add = (at: number) => {
    burnt[at] = 2;
    stack.push(at);
  };
  for (let start = 0; start < burnt.length; start++) {
    if (burnt[start] !== 1) continue;
    const patch = { size: 0, beside: 0, open: false };
    add(start);
    while (stack.length > 0) {
      const at = stack.pop()!;
      const column = at % columns;
      const row = (at - column) / columns;
      patch.size++;
      patch.beside += beside[at]!;
      if (column === 0 || row === 0 || column === columns - 1 || row === rows - 1) patch.open = true;
      if (column > 0 && burnt[at - 1] === 1) add(at - 1);
      if (column < columns - 1 && burnt[at + 1] === 1) add(at + 1);
      if (row > 0 && burnt[at - columns] === 1) add(at - columns);
      if (row < rows - 1 && burnt[at + columns] === 1) add(at + columns);
    }
    out.push(patch);
  }
  return out;
}

/**
 * Share of the picture that is burnt out: patches that are white without any texture. A patch that
 * ends at the picture's border is the ground on which the thing lies, not glare. Where the ground is
 * white, what it encloses (a loop of a strap) is white too: then only what stands beside letters counts.
 */
export function glare(grey: Grey, found: readonly Box[] = letters(grey)): number {
  const blocks = Math.floor(grey.width / block) * Math.floor(grey.height / block);
  if (blocks === 0) return 0;
  const all = patches(grey, found);
  const open = all.reduce((sum, patch) => sum + (patch.open ? patch.size : 0), 0);
  const onWhite = open > blocks * limits.white_ground;
  const counted = all
    .filter((patch) => !patch.open)
    .reduce((sum, patch) => sum + (onWhite ? patch.beside : patch.size), 0);
  return counted / blocks;
}

/**
 * All that is checked on the phone. Cut-off print is not: on the photographs with known truth, letters
 * at the picture's edge told cut print from cloth in too few cases, so the person is asked instead.
 */
export function firstLook(grey: Grey): FirstLook[] {
  const sharp = sharpness(grey);
  const found = letters(grey);
  const burnt = glare(grey, found);
  const bright = brightness(grey);
  const height = letterHeight(grey, found);
  const fact = (
    name: Exclude<keyof typeof limits, "white_ground">,
    value: number | null,
    poor: (value: number) => boolean,
  ): FirstLook =>
    value === null
      ? { fact: name, state: "not_measured", value: 0 }
      : { fact: name, state: poor(value) ? "poor" : "good", value };
  const dark = fact("too_dark", bright, (value) => value < limits.too_dark);
  return [
    fact("blur", sharp?.worst ?? (dark.state === "good" ? Infinity : null), (value) => value > limits.blur),
    fact("glare", burnt, (value) => value > limits.glare),
    dark,
    fact("small_letters", height, (value) => value < limits.small_letters),
    { fact: "cut_off", state: "not_measured", value: 0 },
  ];
}
