import type { WidthMap } from "../../generated/job";

/** A part of the frame whose stars were measured: its middle as shares of the stored width and height, and its width. */
export type Part = { middle: [number, number]; hfd_px: number; where: string };

const ACROSS = ["left", "middle", "right"] as const;
const DOWN = ["top", "middle", "bottom"] as const;

function third<T>(names: readonly [T, T, T], share: number): T {
  return share < 1 / 3 ? names[0] : share > 2 / 3 ? names[2] : names[1];
}

/** The parts with the narrowest and the widest stars; null where fewer than two parts say anything. */
export function sharpestAndSoftest(map: WidthMap): { sharpest: Part; softest: Part } | null {
  const parts = map.hfd_px.flatMap((hfd_px, cell): Part[] => {
    if (hfd_px === null) return [];
    const middle: [number, number] = [
      ((cell % map.columns) + 0.5) / map.columns,
      (Math.floor(cell / map.columns) + 0.5) / map.rows,
    ];
    const [down, across] = [third(DOWN, middle[1]), third(ACROSS, middle[0])];
    return [{ middle, hfd_px, where: down === across ? "middle" : `${down} ${across}` }];
  });
  const [sharpest, ...rest] = parts.sort((one, other) => one.hfd_px - other.hfd_px);
  const softest = rest.at(-1);
  return sharpest && softest ? { sharpest, softest } : null;
}

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
