import { expect, test } from "vitest";

import { boundsOf, coastPath, lines, placed } from "./coast";

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

test("the coast is drawn where the map is, and cut where it runs around the back", () => {
  const bounds = { west: 170, east: 190, south: 60, north: 70 };
  const far = [
    [0, 0],
    [1, 1],
  ] as const;
  const across = [
    [178, 65],
    [-178, 66],
  ] as const;
  // the date line is no border: 178 degrees east and 178 west are a fifth of this map apart
  expect(coastPath([far, across], bounds, 100, 50)).toBe("M40.0 25.0L60.0 20.0");
  const back = [
    [179, 65],
    [1, 66],
  ] as const;
  expect(coastPath([back], bounds, 100, 50)).toContain("M45.0 25.0M");
});
