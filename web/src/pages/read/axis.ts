// Time from left to right: the stretch that is shown, and how one zooms and moves in it.

/** A stretch of time, ms since 1970. */
export type Stretch = { from: number; to: number };

/** Narrowest stretch as a number of steps between columns: fewer show no course. */
const LEAST_STEPS = 4;

/** The stretch made `factor` times wider around an instant, inside the whole. */
export function zoomed(shown: Stretch, whole: Stretch, around: number, factor: number, step_ms: number): Stretch {
  const all = whole.to - whole.from;
  const width = Math.min(all, Math.max(Math.min(all, LEAST_STEPS * step_ms), (shown.to - shown.from) * factor));
  const share = (around - shown.from) / Math.max(1, shown.to - shown.from);
  return inside({ from: around - share * width, to: around + (1 - share) * width }, whole);
}

/** A stretch moved into the whole. */
export function inside({ from, to }: Stretch, whole: Stretch): Stretch {
  const width = Math.min(to - from, whole.to - whole.from);
  const begin = Math.min(Math.max(from, whole.from), whole.to - width);
  return { from: begin, to: begin + width };
}

/** The stretch moved, not widened, so that an instant is in it. */
export function holding(shown: Stretch, whole: Stretch, instant: number): Stretch {
  if (instant >= shown.from && instant <= shown.to) return shown;
  const width = shown.to - shown.from;
  return inside({ from: instant - width / 2, to: instant + width / 2 }, whole);
}

/** The index of the instant nearest to another; -1 where there is none. */
export function nearest(instants: readonly number[], wanted: number): number {
  let [low, high] = [0, instants.length - 1];
  if (high < 0) return -1;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((instants[middle] ?? 0) < wanted) low = middle + 1;
    else high = middle;
  }
  const before = instants[low - 1];
  return before !== undefined && wanted - before <= Math.abs((instants[low] ?? 0) - wanted) ? low - 1 : low;
}

const STEPS_S = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600];

/** Round instants to be named on an axis. */
export function ticks({ from, to }: Stretch, most: number): number[] {
  const step = 1000 * (STEPS_S.find((seconds) => (to - from) / (1000 * seconds) <= most) ?? 43_200);
  const out: number[] = [];
  for (let at = Math.ceil(from / step) * step; at <= to; at += step) out.push(at);
  return out;
}

/** "17:34", with seconds where the stretch is short. */
export function tickName(instant: number, shown: Stretch): string {
  return new Date(instant).toISOString().slice(11, shown.to - shown.from < 900_000 ? 19 : 16);
}

/** The line through points as an SVG path; a gap is where a value is null. */
export function pathOf(points: readonly (readonly [number, number] | null)[]): string {
  let open = false;
  return points
    .map((point) => {
      if (point === null) {
        open = false;
        return "";
      }
      const letter = open ? "L" : "M";
      open = true;
      return `${letter}${point[0].toFixed(1)} ${point[1].toFixed(1)}`;
    })
    .join("");
}
