/** First pixel of a crop about a part's middle, moved inside where it would hang over the edge. */
export function firstPixel(share: number, whole: number, side: number): number {
  return Math.max(0, Math.min(whole - side, Math.round(share * whole - side / 2)));
}

const [SOI, APP1, SOS] = [0xd8, 0xe1, 0xda];
const EXIF = [0x45, 0x78, 0x69, 0x66];

/**
 * The bytes of a picture without the mark of which way up it is, so that a browser decodes its pixels as they are stored:
 * some turn them even when asked not to. Only a JPEG is changed: its Exif blocks lose their name (JPEG: ITU-T T.81, B.1).
 */
export function unturned(bytes: Uint8Array<ArrayBuffer>): Uint8Array<ArrayBuffer> {
  if (bytes[0] !== 0xff || bytes[1] !== SOI) return bytes;
  const changed = bytes.slice();
  for (let at = 2; at + 8 <= changed.length && changed[at] === 0xff && changed[at + 1] !== SOS;) {
    const length = ((changed[at + 2] ?? 0) << 8) | (changed[at + 3] ?? 0);
    const isExif = changed[at + 1] === APP1 && EXIF.every((byte, n) => changed[at + 4 + n] === byte);
    if (isExif) changed.fill(0, at + 4, at + 4 + EXIF.length);
    at += 2 + length;
  }
  return changed;
}
