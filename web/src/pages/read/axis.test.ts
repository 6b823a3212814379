import { describe, expect, it } from "vitest";

import { holding, nearest, pathOf, ticks, tickName, zoomed } from "./axis";

const MINUTE = 60_000;
const whole = { from: 0, to: 60 * MINUTE };

describe("the time axis of a reading", () => {
  it("zooms around an instant, which stays where it is, and never beyond the whole", () => {
    const half = zoomed(whole, whole, 15 * MINUTE, 0.5, MINUTE);
    expect(half).toEqual({ from: 7.5 * MINUTE, to: 37.5 * MINUTE });
    expect((15 * MINUTE - half.from) / (half.to - half.from)).toBe(0.25);
    expect(zoomed(half, whole, 15 * MINUTE, 8, MINUTE)).toEqual(whole);
    const narrow = zoomed(whole, whole, 30 * MINUTE, 1e-6, MINUTE);
    expect(narrow.to - narrow.from).toBe(4 * MINUTE);
    // a sequence of one column has no stretch to zoom in
    expect(zoomed({ from: 0, to: MINUTE }, { from: 0, to: MINUTE }, 0, 0.5, MINUTE)).toEqual({ from: 0, to: MINUTE });
  });

  it("follows the cursor out of the stretch that is shown", () => {
    const shown = { from: 10 * MINUTE, to: 20 * MINUTE };
    expect(holding(shown, whole, 12 * MINUTE)).toBe(shown);
    expect(holding(shown, whole, 40 * MINUTE)).toEqual({ from: 35 * MINUTE, to: 45 * MINUTE });
    expect(holding(shown, whole, 60 * MINUTE)).toEqual({ from: 50 * MINUTE, to: 60 * MINUTE });
  });

  it("finds the nearest instant over gaps", () => {
    const instants = [0, 10, 100, 110];
    expect([-5, 4, 5, 54, 56, 500].map((wanted) => nearest(instants, wanted))).toEqual([0, 0, 0, 1, 2, 3]);
    expect(nearest([], 3)).toBe(-1);
  });

  it("names round times, and breaks a line at a gap", () => {
    expect(ticks({ from: 1, to: 30 * MINUTE }, 6).map((at) => at / MINUTE)).toEqual([5, 10, 15, 20, 25, 30]);
    expect(tickName(90_000, { from: 0, to: 10 * MINUTE })).toBe("00:01:30");
    expect(tickName(90_000, whole)).toBe("00:01");
    expect(pathOf([[0, 1], [1, 2], null, [3, 4]])).toBe("M0.0 1.0L1.0 2.0M3.0 4.0");
  });
});
