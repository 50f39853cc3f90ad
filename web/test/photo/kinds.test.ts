import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { isPhoto } from "../../src/photo/kinds";

const samples = join(__dirname, "../../../sample_images");
const bytes = (text: string) => Uint8Array.from(text, (letter) => letter.charCodeAt(0));

describe("a file that is no photo", () => {
  it("is told by its first bytes; every sample photo is one", () => {
    const photos = readdirSync(samples).filter((name) => name.endsWith(".jpg"));
    expect(photos.length).toBeGreaterThan(5);
    for (const name of photos) expect(isPhoto(readFileSync(join(samples, name)).subarray(0, 12)), name).toBe(true);
  });

  it.each(["%PDF-1.7\n%aa", "GIF89a......", "PK\x03\x04........", "", "RIFF....WAVE", "....ftypmp42"])(
    "%j is none",
    (start) => {
      expect(isPhoto(bytes(start))).toBe(false);
    },
  );

  it("takes PNG, WebP and HEIC by their signatures (ISO/IEC 15948; RFC 9649; ISO/IEC 23008-12)", () => {
    for (const start of ["\x89PNG\r\n\x1a\n....", "RIFF....WEBP", "....ftypheic", "....ftypmif1"]) {
      expect(isPhoto(bytes(start)), start).toBe(true);
    }
  });
});
