import { describe, expect, it } from "vitest";

import { firstPixel, sharpestAndSoftest } from "./crops";

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
});
