import { describe, expect, it } from "vitest";

import { HIGHEST_KR, krOf, LOWEST_KR, shareOf, SLIDER_STEPS, startingSource, stepOf } from "./asked";

describe("the slider", () => {
  it("runs from end to end by even ratios, and back", () => {
    expect(krOf(0)).toBe(LOWEST_KR);
    expect(krOf(SLIDER_STEPS)).toBe(HIGHEST_KR);
    expect(krOf(SLIDER_STEPS / 2)).toBe(10);
    for (const step of [0, 1, 57, 140, SLIDER_STEPS])
      expect(Math.abs(stepOf(krOf(step)) - step)).toBeLessThanOrEqual(1);
  });

  it("keeps to its ends", () => {
    expect(stepOf(0)).toBe(0);
    expect(stepOf(1e6)).toBe(SLIDER_STEPS);
    expect(shareOf(1000)).toBe(1);
    expect(shareOf(10)).toBeCloseTo(0.5, 12);
  });

  it("starts faint by hand where nothing is predicted", () => {
    expect(startingSource(null)).toEqual({ kind: "hand", kr: 1 });
  });
});
