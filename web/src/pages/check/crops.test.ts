import { describe, expect, it } from "vitest";

import { firstPixel, sharpestAndSoftest, unturned } from "./crops";

describe("parts of a frame to look at pixel for pixel", () => {
  it("are those of the narrowest and the widest stars, wherever they lie", () => {
    const pair = sharpestAndSoftest({ columns: 3, rows: 2, hfd_px: [4, null, 9, 3.5, 5, null] });
    expect(pair?.sharpest).toEqual({ middle: [0.5 / 3, 0.75], hfd_px: 3.5, where: "bottom left" });
    expect(pair?.softest).toEqual({ middle: [2.5 / 3, 0.25], hfd_px: 9, where: "top right" });
  });

  it("are none where fewer than two parts have stars enough", () => {
    expect(sharpestAndSoftest({ columns: 2, rows: 1, hfd_px: [null, 4] })).toBeNull();
    expect(sharpestAndSoftest({ columns: 1, rows: 1, hfd_px: [null] })).toBeNull();
  });

  it("stay inside the frame", () => {
    expect(firstPixel(0.1, 1000, 320)).toBe(0);
    expect(firstPixel(0.9, 1000, 320)).toBe(680);
    expect(firstPixel(0.5, 1000, 320)).toBe(340);
  });

  it("are decoded as stored: the Exif of a JPEG is hidden, its pixels and other files are left", () => {
    const exif = [0xff, 0xe1, 0, 8, 0x45, 0x78, 0x69, 0x66, 0, 0];
    const jfif = [0xff, 0xe0, 0, 6, 1, 2, 3, 4];
    const pixels = [0xff, 0xda, ...exif];
    const jpeg = new Uint8Array([0xff, 0xd8, ...jfif, ...exif, ...pixels]);
    const hidden = [0xff, 0xe1, 0, 8, 0, 0, 0, 0, 0, 0];
    expect([...unturned(jpeg)]).toEqual([0xff, 0xd8, ...jfif, ...hidden, ...pixels]);
    expect([...unturned(new Uint8Array([0x89, 0x50, ...exif]))]).toEqual([0x89, 0x50, ...exif]);
  });
});
