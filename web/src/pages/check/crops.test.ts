import { describe, expect, it } from "vitest";

import { firstPixel, unturned } from "./crops";

describe("parts of a frame to look at pixel for pixel", () => {
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
