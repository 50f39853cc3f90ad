import { describe, expect, it } from "vitest";
import { brightness, firstLook, floor, glare, letterHeight, limits } from "../../src/photo/first-look";
import { type Grey, sharpness } from "../../src/photo/sharpness";

/** Rows of bars as tall as letters on light cloth with grain; `sigma` blurs them, `light` dims them. */
function page({ size = 24, sigma = 0.6, light = 1, burnt = 0, move = 0 }): Grey {
  const width = 480;
  const height = 360;
  const ideal = new Float64Array(width * height).fill(215);
  for (let row = 60; row + size < 300; row += size * 2) {
    for (let x = 80; x + size < 400; x += size) {
      for (let y = row; y < row + size; y++) {
        for (let dx = 0; dx < size * 0.18; dx++) {
          ideal[y * width + x + dx] = 60;
          ideal[y * width + x + dx + Math.floor(size * 0.4)] = 60;
        }
        if (y === row || y === row + Math.floor(size / 2))
          for (let dx = 0; dx < size * 0.55; dx++) ideal[y * width + x + dx] = 60;
      }
    }
  }
  const blurred = gauss(move > 0 ? drag(ideal, width, height, move) : ideal, width, height, sigma);
  let seed = 7;
  const noise = () => {
    seed = (seed * 1103515245 + 12345) % 2147483648;
    return (seed / 2147483648 - 0.5) * 4;
  };
  const values = new Uint8ClampedArray(width * height);
  for (let at = 0; at < values.length; at++) values[at] = blurred[at]! * light + noise();
  for (let y = 150; y < 150 + burnt; y++) for (let x = 180; x < 180 + burnt; x++) values[y * width + x] = 255;
  return { width, height, values, scale: 1 };
}

function gauss(from: Float64Array, width: number, height: number, sigma: number): Float64Array {
  const reach = Math.ceil(sigma * 3);
  const weights = Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-((i - reach) ** 2) / (2 * sigma ** 2)));
  const sum = weights.reduce((a, b) => a + b);
  const pass = (source: Float64Array, step: number, length: number, across: number, other: number) => {
    const out = new Float64Array(source.length);
    for (let line = 0; line < across; line++) {
      for (let i = 0; i < length; i++) {
        let value = 0;
        for (let k = -reach; k <= reach; k++) {
          const j = Math.min(length - 1, Math.max(0, i + k));
          value += source[line * other + j * step]! * weights[k + reach]!;
        }
        out[line * other + i * step] = value / sum;
      }
    }
    return out;
  };
  return pass(pass(from, 1, width, height, width), width, height, width, 1);
}

function drag(from: Float64Array, width: number, height: number, far: number): Float64Array {
  const out = new Float64Array(from.length);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      let value = 0;
      for (let k = 0; k < far; k++) value += from[y * width + Math.min(width - 1, x + k)]!;
      out[y * width + x] = value / far;
    }
  }
  return out;
}

const poor = (grey: Grey) =>
  firstLook(grey)
    .filter((fact) => fact.state === "poor")
    .map((fact) => fact.fact);

describe("what a phone can say about a photo", () => {
  it("finds nothing on a sharp, evenly lit photo of letters that are large enough", () => {
    expect(poor(page({}))).toEqual([]);
  });

  it("says blurred when nothing is sharp", () => {
    expect(poor(page({ sigma: 5 }))).toContain("blur");
  });

  it("says blurred when the camera moved, though edges along the way are sharp", () => {
    const moved = sharpness(page({ move: 9, size: 40 }))!;
    expect(moved.worst).toBeGreaterThan(limits.blur);
    expect(moved.all).toBeLessThan(moved.worst);
  });

  it("measures the width of an edge in pixels, within a third of the blur that was put in", () => {
    for (const sigma of [1.5, 2.5, 3.5]) {
      const found = sharpness(page({ sigma, size: 40 }))!.all;
      expect(Math.abs(found - sigma) / sigma).toBeLessThan(0.34);
    }
  });

  it("says too dark", () => {
    expect(poor(page({ light: 0.15 }))).toContain("too_dark");
    expect(brightness(page({ light: 0.15 }))).toBeLessThan(limits.too_dark);
  });

  it("says glare for a burnt-out patch, not for light cloth", () => {
    expect(poor(page({ burnt: 100 }))).toContain("glare");
    expect(glare(page({}))).toBe(0);
  });

  /** The sheet on a burnt-out white ground, seen through a loop of a strap as well. */
  const onWhite = (sheet: Grey): Grey => {
    const values = Uint8ClampedArray.from(sheet.values);
    const white = (left: number, top: number, right: number, bottom: number) => {
      for (let y = top; y < bottom; y++) values.fill(255, y * sheet.width + left, y * sheet.width + right);
    };
    white(0, 0, sheet.width, 40);
    white(0, 320, sheet.width, 360);
    white(0, 0, 40, 360);
    white(440, 0, 480, 360);
    return { ...sheet, values };
  };

  it("says nothing of a white ground, and does of print that is burnt out on it", () => {
    expect(poor(onWhite(page({})))).not.toContain("glare");
    expect(poor(onWhite(page({ burnt: 100 })))).toContain("glare");
  });

  it("says letters too small, and measures their height", () => {
    expect(poor(page({ size: 8 }))).toContain("small_letters");
    const height = letterHeight(page({ size: 24 }))!;
    expect(height).toBeGreaterThan(18);
    expect(height).toBeLessThan(30);
  });

  it("asks to go closer below the floor of the server's reader, and not above it", () => {
    // Bars as high as capitals: of print with an x-height of 6 they are 8 high, of 8 they are 11.
    const capitals = (xHeight: number) => page({ size: Math.round(xHeight * floor.capitals) });
    expect(poor(capitals(floor.xHeight - 1))).toContain("small_letters");
    expect(poor(capitals(floor.xHeight + 1))).not.toContain("small_letters");
  });

  it("counts in pixels of the photo, not of the reduced copy that was looked at", () => {
    const small = page({ size: 8 });
    expect(letterHeight({ ...small, scale: 3 })).toBe(letterHeight(small)! * 3);
  });

  it("says of cut-off print that it was not checked", () => {
    expect(firstLook(page({})).find((fact) => fact.fact === "cut_off")?.state).toBe("not_measured");
  });
});
