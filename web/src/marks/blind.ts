/**
 * Which approval numbers the person types before the reading is shown. The choice is drawn from the
 * random part of the photo's id, so it is the same each time the photo is opened and nobody can
 * reload until the number is shown.
 */
export function typedBeforeShown(photo: string, item: number, share: number): boolean {
  const random = photo.replaceAll("-", "").slice(-8);
  const drawn = (parseInt(random, 16) + item * 0x9e3779b1) % 0x100000000;
  return drawn / 0x100000000 < share;
}
