import { expect, test } from "vitest";

import { boundsOf, lines, placed } from "./coast";

test("arcs are sums of steps, scaled and moved", () => {
  // the worked example of the TopoJSON specification, section 2.1.4: position [4000, 5000] then steps
  const [line] = lines({
    arcs: [
      [
        [4000, 0],
        [1999, 9999],
      ],
    ],
    transform: { scale: [0.0005000500050005, 0.00010001000100010001], translate: [100, 0] },
  });
  expect(line?.[0]?.[0]).toBeCloseTo(102.0002, 6);
  expect(line?.[1]?.[0]).toBeCloseTo(102.9998, 3);
  expect(line?.[1]?.[1]).toBeCloseTo(1, 6);
});

test("places on both sides of the date line make a narrow map", () => {
  const bounds = boundsOf(
    [
      [178, 65],
      [-176, 66],
    ],
    1.5,
  );
  expect(bounds.east - bounds.west).toBeLessThan(40);
  for (const place of [
    [178, 65],
    [-176, 66],
  ] as const) {
    const [x, y] = placed(place, bounds);
    expect(x).toBeGreaterThan(0);
    expect(x).toBeLessThan(1);
    expect(y).toBeGreaterThan(0);
    expect(y).toBeLessThan(1);
  }
});

test("north is up and east is right", () => {
  const bounds = boundsOf([[16, 69]], 1.5);
  const [, north] = placed([16, 70], bounds);
  const [, south] = placed([16, 68], bounds);
  const [east] = placed([17, 69], bounds);
  expect(north).toBeLessThan(south);
  expect(east).toBeGreaterThan(0.5);
});
