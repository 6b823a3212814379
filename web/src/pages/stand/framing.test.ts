import { describe, expect, it } from "vitest";

import type { Kit, FramePointing } from "../../generated/job";
import { keyed, onBowl, outlineOf, turned, underBowl } from "./framing";

const kit = {
  camera: { width_px: 6000, height_px: 4000, pixel_um: 6 },
  lens: { focal_mm: 20, projection: "rectilinear" },
} as Kit;

const north: FramePointing = { azimuth_deg: 0, altitude_deg: 0, roll_deg: 0, orientation: "landscape" };
const bowl = { centerX: 200, centerY: 220, radius: 180, width: 400, height: 500 };

describe("the outline that follows the hand", () => {
  it("has the field of view of the lens", () => {
    // 36 x 24 mm at 20 mm: 2 atan(18 / 20) = 83.97 degrees across, atan(12 / 20) = 30.96 up
    const outline = outlineOf(kit, north);
    const top = outline[12];
    const right = outline[36];
    expect(top?.altitude_deg).toBeCloseTo(30.96, 1);
    expect(right?.azimuth_deg).toBeCloseTo(41.99, 1);
    expect(outlineOf(kit, { ...north, orientation: "portrait" })[12]?.altitude_deg).toBeCloseTo(41.99, 1);
  });

  it("raises the right-hand side with a positive roll", () => {
    const right = outlineOf(kit, { ...north, roll_deg: 10 })[36];
    expect(right?.altitude_deg).toBeGreaterThan(5);
  });
});

describe("the bowl", () => {
  it("finds the direction under a finger again", () => {
    for (const direction of [
      { altitude_deg: 20, azimuth_deg: 350 },
      { altitude_deg: 70, azimuth_deg: 123 },
    ]) {
      const found = underBowl(...onBowl(direction, bowl), bowl);
      expect(found.altitude_deg).toBeCloseTo(direction.altitude_deg, 6);
      expect(found.azimuth_deg).toBeCloseTo(direction.azimuth_deg, 6);
    }
    expect(underBowl(1000, 220, bowl).altitude_deg).toBe(0);
    // east is left
    expect(underBowl(100, 220, bowl).azimuth_deg).toBeCloseTo(90, 6);
  });
});

describe("keys", () => {
  it("turn by five degrees, by one with Shift, and across north", () => {
    expect(keyed("ArrowLeft", false, north)).toMatchObject({ azimuth_deg: 355 });
    expect(keyed("ArrowRight", true, { ...north, azimuth_deg: 359 })).toMatchObject({ azimuth_deg: 0 });
    expect(keyed("ArrowUp", false, { ...north, altitude_deg: 88 })).toMatchObject({ altitude_deg: 90 });
    expect(keyed("r", false, north)).toMatchObject({ orientation: "portrait" });
    expect(keyed("Home", false, north)).toBe("suggest");
    expect(keyed("Tab", false, north)).toBeNull();
    expect(turned(north, 0, -90).altitude_deg).toBe(-20);
  });
});
