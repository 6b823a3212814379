import { describe, expect, it } from "vitest";

import { axisOf, indexAt, keyTarget, shareOf, spanOf, type Axis } from "./timeAxis";

const HOUR = 3_600_000;
const axis: Axis = { from: 2 * HOUR, to: 6 * HOUR, left: 0.1, right: 0.9 };
const instants = [0, 1, 2, 3, 4, 5, 6, 7, 8].map((hour) => hour * HOUR);

function root(attributes: Record<string, string>) {
  return { getAttribute: (name: string) => attributes[name] ?? null };
}

describe("the time axis of a strip", () => {
  it("is read from the drawing", () => {
    const drawn = root({
      width: "1000",
      "data-from": "2026-03-14T16:00:00Z",
      "data-to": "2026-03-15T06:00:00Z",
      "data-plot-left": "40",
      "data-plot-right": "980",
    });
    expect(axisOf(drawn)).toMatchObject({ left: 0.04, right: 0.98 });
    expect(axisOf(root({ width: "1000" }))).toBeNull();
  });

  it("goes from a time to a place and back", () => {
    for (const index of [2, 3, 4, 5, 6]) {
      expect(indexAt(shareOf(instants[index] ?? 0, axis), instants, axis)).toBe(index);
    }
  });

  it("keeps the cursor on the drawing", () => {
    expect(spanOf(instants, axis)).toEqual({ first: 2, last: 6 });
    expect(indexAt(-1, instants, axis)).toBe(2);
    expect(indexAt(2, instants, axis)).toBe(6);
  });
});

describe("keys", () => {
  const span = { first: 2, last: 20 };

  it("step, jump and stop at the ends", () => {
    expect(keyTarget("ArrowRight", 5, span)).toBe(6);
    expect(keyTarget("ArrowLeft", 2, span)).toBe(2);
    expect(keyTarget("PageUp", 5, span)).toBe(11);
    expect(keyTarget("End", 5, span)).toBe(20);
    expect(keyTarget("Home", 5, span)).toBe(2);
    expect(keyTarget("x", 5, span)).toBeNull();
  });
});
