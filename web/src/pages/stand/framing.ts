import type { Horizontal, Kit, LensProjection, FramePointing } from "../../generated/job";

// Only what must follow the hand at once: where the frame lies on the bowl until the program's own outline arrives.

/** Where a bowl drawing has its sky, px of the drawing. */
export type BowlPlace = { centerX: number; centerY: number; radius: number; width: number; height: number };

/** Reads the place of the sky off a bowl drawing; null where it is no bowl. */
export function bowlPlaceOf(root: SVGSVGElement): BowlPlace | null {
  const [centerX, centerY, radius] = ["data-center-x", "data-center-y", "data-radius"].map((name) =>
    Number(root.getAttribute(name) ?? Number.NaN),
  );
  const { width, height } = root.viewBox.baseVal;
  if (centerX === undefined || centerY === undefined || !radius || !(width > 0)) return null;
  return { centerX, centerY, radius, width, height };
}

const RADIAN = Math.PI / 180;
const EDGE_PIECES = 24;

/** Angle off the axis of a radius in focal lengths; beyond the lens's image that of its edge. */
function offAxis(radius: number, projection: LensProjection): number {
  switch (projection) {
    case "rectilinear":
      return Math.atan(radius);
    case "stereographic":
      return 2 * Math.atan(radius / 2);
    case "equidistant":
      return Math.min(radius, Math.PI);
    case "equisolid":
      return 2 * Math.asin(Math.min(radius / 2, 1));
    case "orthographic":
      return Math.asin(Math.min(radius, 1));
  }
}

/** The border of the frame on the sky, closed, clockwise from the top left corner. */
export function outlineOf(kit: Kit, pointing: FramePointing): Horizontal[] {
  const { width_px, height_px, pixel_um } = kit.camera;
  const [long, short] = [Math.max(width_px, height_px), Math.min(width_px, height_px)];
  const [across, down] = pointing.orientation === "portrait" ? [short, long] : [long, short];
  const scale = pixel_um / 1000 / kit.lens.focal_mm / 2;
  const [x, y] = [across * scale, down * scale];
  const corners: [number, number][] = [
    [-x, y],
    [x, y],
    [x, -y],
    [-x, -y],
  ];
  return corners.flatMap(([fromX, fromY], index) => {
    const [toX, toY] = corners[(index + 1) % corners.length] ?? [fromX, fromY];
    return Array.from({ length: EDGE_PIECES }, (_, piece) => {
      const share = piece / EDGE_PIECES;
      return directionOf(fromX + share * (toX - fromX), fromY + share * (toY - fromY), kit, pointing);
    });
  });
}

function directionOf(right: number, up: number, kit: Kit, pointing: FramePointing): Horizontal {
  const [azimuth, altitude, roll] = [pointing.azimuth_deg, pointing.altitude_deg, pointing.roll_deg].map(
    (degrees) => degrees * RADIAN,
  ) as [number, number, number];
  const radius = Math.hypot(right, up);
  const angle = offAxis(radius, kit.lens.projection);
  const [r, u] = radius > 0 ? [right / radius, up / radius] : [0, 0];
  const [level, upward] = [r * Math.cos(roll) - u * Math.sin(roll), r * Math.sin(roll) + u * Math.cos(roll)];
  const [sin, cos] = [Math.sin(angle), Math.cos(angle)];
  const ahead = cos * Math.cos(altitude) - sin * upward * Math.sin(altitude);
  const side = sin * level;
  const height = cos * Math.sin(altitude) + sin * upward * Math.cos(altitude);
  const east = ahead * Math.sin(azimuth) + side * Math.cos(azimuth);
  const north = ahead * Math.cos(azimuth) - side * Math.sin(azimuth);
  return {
    altitude_deg: Math.atan2(height, Math.hypot(east, north)) / RADIAN,
    azimuth_deg: wrapped(Math.atan2(east, north) / RADIAN),
  };
}

/** An azimuth in 0..360. */
export function wrapped(degrees: number): number {
  return ((degrees % 360) + 360) % 360;
}

/** Place of a direction on a bowl; below the horizon it stays on the rim. */
export function onBowl(direction: Horizontal, bowl: BowlPlace): [number, number] {
  const distance = (bowl.radius * (90 - Math.max(0, direction.altitude_deg))) / 90;
  const azimuth = direction.azimuth_deg * RADIAN;
  return [bowl.centerX - distance * Math.sin(azimuth), bowl.centerY - distance * Math.cos(azimuth)];
}

/** The direction under a point of a bowl; beyond the rim the horizon. */
export function underBowl(x: number, y: number, bowl: BowlPlace): Horizontal {
  const [west, up] = [bowl.centerX - x, bowl.centerY - y];
  const altitude_deg = 90 - (90 * Math.hypot(west, up)) / bowl.radius;
  return { altitude_deg: Math.max(0, altitude_deg), azimuth_deg: wrapped(Math.atan2(west, up) / RADIAN) };
}

const STEP_DEG = 5;
const FINE_STEP_DEG = 1;

/** What a key makes of a pointing: "suggest" goes back to the suggestion, null leaves the key to the browser. */
export function keyed(key: string, shift: boolean, from: FramePointing): FramePointing | "suggest" | null {
  const step = shift ? FINE_STEP_DEG : STEP_DEG;
  switch (key) {
    case "ArrowLeft":
      return turned(from, -step, 0);
    case "ArrowRight":
      return turned(from, step, 0);
    case "ArrowUp":
      return turned(from, 0, step);
    case "ArrowDown":
      return turned(from, 0, -step);
    case "r":
    case "R":
      return { ...from, orientation: from.orientation === "portrait" ? "landscape" : "portrait" };
    case "Home":
      return "suggest";
    default:
      return null;
  }
}

/** The pointing so many degrees to the right and up; from 20 degrees below the horizon to the zenith. */
export function turned(from: FramePointing, right_deg: number, up_deg: number): FramePointing {
  return {
    ...from,
    azimuth_deg: wrapped(Math.round(from.azimuth_deg + right_deg)),
    altitude_deg: Math.min(90, Math.max(-20, Math.round(from.altitude_deg + up_deg))),
  };
}
