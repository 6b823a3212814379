// The coast of the world for a map without a network.

/** A piece of coast as longitude and latitude in degrees. */
export type Line = readonly (readonly [number, number])[];

type Topology = {
  arcs: number[][][];
  transform: { scale: number[]; translate: number[] };
};

/** Every arc once: whole numbers, each the step from the one before (TopoJSON 1.0, quantized arcs). */
export function lines({ arcs, transform }: Topology): Line[] {
  const [scaleX = 1, scaleY = 1] = transform.scale;
  const [left = 0, bottom = 0] = transform.translate;
  return arcs.map((arc) => {
    let x = 0;
    let y = 0;
    return arc.map(([stepX = 0, stepY = 0]): [number, number] => {
      x += stepX;
      y += stepY;
      return [x * scaleX + left, y * scaleY + bottom];
    });
  });
}

/** What a map shows, degrees. */
export type Bounds = { west: number; east: number; south: number; north: number };

/** Least height of a map, degrees: a single picture still shows its surroundings. */
const LEAST_HEIGHT_DEG = 6;
/** Room around the outermost places, as a share. */
const MARGIN = 0.15;

/** Bounds around places, in the shape of the map; the widest gap in longitude is left out, so the date line is no border. */
export function boundsOf(places: readonly (readonly [number, number])[], widthOverHeight: number): Bounds {
  if (places.length === 0) return { west: -180, east: 180, south: -60, north: 85 };
  const longitudes = places.map(([longitude]) => longitude).sort((a, b) => a - b);
  let west = longitudes[0] ?? 0;
  let widest = (longitudes[0] ?? 0) + 360 - (longitudes.at(-1) ?? 0);
  longitudes.forEach((longitude, index) => {
    const next = longitudes[index + 1];
    if (next !== undefined && next - longitude > widest) {
      widest = next - longitude;
      west = next;
    }
  });
  const east = west + 360 - widest;
  const latitudes = places.map(([, latitude]) => latitude);
  const [south, north] = [Math.min(...latitudes), Math.max(...latitudes)];
  const [middleX, middleY] = [(west + east) / 2, (south + north) / 2];
  const squeeze = Math.max(0.2, Math.cos((middleY * Math.PI) / 180));
  const height = Math.max(
    LEAST_HEIGHT_DEG,
    (north - south) * (1 + 2 * MARGIN),
    ((east - west) * (1 + 2 * MARGIN) * squeeze) / widthOverHeight,
  );
  const width = Math.min(360, (height * widthOverHeight) / squeeze);
  return {
    west: middleX - width / 2,
    east: middleX + width / 2,
    south: middleY - height / 2,
    north: middleY + height / 2,
  };
}

/** Place on the map, 0 to 1 from left and top. */
export function placed([longitude, latitude]: readonly [number, number], bounds: Bounds): [number, number] {
  const { west, east, south, north } = bounds;
  const turned = longitude + 360 * Math.round(((west + east) / 2 - longitude) / 360);
  return [(turned - west) / (east - west), (north - latitude) / (north - south)];
}

/** How far beyond the edge of the map a line may begin, as a share: what is farther out is not drawn. */
const BEYOND = 0.2;
/** A step of this share of the map is one around its back. */
const AROUND = 0.7;

/** The coast as the path of a drawing of this size; what is outside is left out, and what runs around the back is cut. */
export function coastPath(coast: readonly Line[], bounds: Bounds, width: number, height: number): string {
  const isNear = (share: number) => share > -BEYOND && share < 1 + BEYOND;
  return coast
    .map((line) => line.map((place) => placed(place, bounds)))
    .filter((line) => line.some(([x, y]) => isNear(x) && isNear(y)))
    .map((line) =>
      line
        .map(([x, y], index) => {
          const jump = index === 0 || Math.abs(x - (line[index - 1]?.[0] ?? x)) > AROUND;
          return `${jump ? "M" : "L"}${(x * width).toFixed(1)} ${(y * height).toFixed(1)}`;
        })
        .join(""),
    )
    .join("");
}
