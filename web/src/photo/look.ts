/** Opens a photo on the phone: measures it, and makes the reduced copy that goes first. */
import { type FirstLook, firstLook, measuredSide } from "./first-look";
import type { Grey } from "./sharpness";

export interface Looked {
  width: number;
  height: number;
  quality: FirstLook[];
  /** Milliseconds from the photo to the answer. */
  took: number;
}

function canvas(width: number, height: number): { draw: CanvasRenderingContext2D; element: HTMLCanvasElement } {
  const element = document.createElement("canvas");
  element.width = width;
  element.height = height;
  const draw = element.getContext("2d", { willReadFrequently: true });
  if (draw === null) throw new Error("this browser gives no canvas to look at the photo with");
  return { draw, element };
}

function greyOf(image: ImageBitmap): Grey {
  const scale = Math.max(1, Math.max(image.width, image.height) / measuredSide);
  const width = Math.round(image.width / scale);
  const height = Math.round(image.height / scale);
  const { draw } = canvas(width, height);
  draw.imageSmoothingQuality = "high";
  draw.drawImage(image, 0, 0, width, height);
  const { data } = draw.getImageData(0, 0, width, height);
  const values = new Uint8Array(width * height);
  for (let at = 0, from = 0; at < values.length; at++, from += 4) {
    values[at] = (data[from]! * 299 + data[from + 1]! * 587 + data[from + 2]! * 114) / 1000;
  }
  return { width, height, values, scale };
}

/** Null where this browser cannot open the file (HEIC on most phones): the server decides then. */
export async function look(photo: Blob): Promise<Looked | null> {
  const start = performance.now();
  let image: ImageBitmap;
  try {
    image = await createImageBitmap(photo);
  } catch (problem) {
    if (problem instanceof DOMException) return null;
    throw problem;
  }
  try {
    const quality = firstLook(greyOf(image));
    return { width: image.width, height: image.height, quality, took: performance.now() - start };
  } finally {
    image.close();
  }
}

/** Bytes over which a smaller copy goes first, and the long side of that copy. */
const quickCopy = { over: 2_500_000, side: 2000, sharpness: 0.85 };

export async function reduced(photo: Blob): Promise<Blob | null> {
  if (photo.size <= quickCopy.over) return null;
  let image: ImageBitmap;
  try {
    image = await createImageBitmap(photo);
  } catch (problem) {
    if (problem instanceof DOMException) return null;
    throw problem;
  }
  const scale = quickCopy.side / Math.max(image.width, image.height);
  if (scale >= 0.9) {
    image.close();
    return null;
  }
  const { draw, element } = canvas(Math.round(image.width * scale), Math.round(image.height * scale));
  draw.imageSmoothingQuality = "high";
  draw.drawImage(image, 0, 0, element.width, element.height);
  image.close();
  return new Promise((done) => element.toBlob(done, "image/jpeg", quickCopy.sharpness));
}
