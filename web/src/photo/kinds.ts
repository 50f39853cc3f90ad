/**
 * Whether a file is a photo of a kind that the server reads, by its first bytes and not by its name:
 * JPEG (ISO/IEC 10918-1, SOI marker), PNG (ISO/IEC 15948, signature), WebP (RFC 9649, 2.4) and HEIC
 * (ISO/IEC 23008-12: a `ftyp` box). What is more the matter with it, the server says.
 */
const text = (bytes: Uint8Array, from: number, to: number) => String.fromCharCode(...bytes.subarray(from, to));

export function isPhoto(first: Uint8Array): boolean {
  return (
    (first[0] === 0xff && first[1] === 0xd8 && first[2] === 0xff) ||
    text(first, 0, 8) === "\x89PNG\r\n\x1a\n" ||
    (text(first, 0, 4) === "RIFF" && text(first, 8, 12) === "WEBP") ||
    (text(first, 4, 8) === "ftyp" && /^(hei[cxms]|he(vc|vx)|mif1|msf1)/.test(text(first, 8, 12)))
  );
}

export async function isPhotoFile(file: Blob): Promise<boolean> {
  return isPhoto(new Uint8Array(await file.slice(0, 12).arrayBuffer()));
}
