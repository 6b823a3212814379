/** Where time runs on a drawing, as shares of its width. */
export type Axis = {
  /** First and last instant drawn, ms since 1970. */
  from: number;
  to: number;
  /** Where they stand, 0 the left edge of the drawing, 1 its right edge. */
  left: number;
  right: number;
};

/** First and last step of the night that a drawing shows. */
export type Span = { first: number; last: number };

/** Steps of ten minutes that make an hour. */
const STEPS_PER_HOUR = 6;

/** Reads the axis that the program wrote into the root element of a strip. */
export function axisOf(root: Pick<Element, "getAttribute">): Axis | null {
  const width = Number(root.getAttribute("width") ?? root.getAttribute("viewBox")?.split(/[ ,]+/)[2]);
  const from = Date.parse(root.getAttribute("data-from") ?? "");
  const to = Date.parse(root.getAttribute("data-to") ?? "");
  const left = Number(root.getAttribute("data-plot-left") ?? 0) / width;
  const right = Number(root.getAttribute("data-plot-right") ?? width) / width;
  const axis = { from, to, left, right };
  return Object.values(axis).every(Number.isFinite) && to > from && right > left ? axis : null;
}

/** Where an instant stands, as a share of the drawing's width. */
export function shareOf(instant: number, axis: Axis): number {
  const share = Math.min(1, Math.max(0, (instant - axis.from) / (axis.to - axis.from)));
  return axis.left + share * (axis.right - axis.left);
}

/** The steps that lie on the drawing. */
export function spanOf(instants: number[], axis: Axis): Span {
  const first = instants.findIndex((instant) => instant >= axis.from);
  const last = instants.findLastIndex((instant) => instant <= axis.to);
  return first < 0 || last < first ? { first: 0, last: Math.max(0, instants.length - 1) } : { first, last };
}

/** The step nearest to a place on the drawing. */
export function indexAt(share: number, instants: number[], axis: Axis): number {
  const { first, last } = spanOf(instants, axis);
  const wanted = axis.from + ((share - axis.left) / (axis.right - axis.left)) * (axis.to - axis.from);
  let nearest = first;
  for (let index = first; index <= last; index += 1) {
    const distance = Math.abs((instants[index] ?? 0) - wanted);
    if (distance < Math.abs((instants[nearest] ?? 0) - wanted)) nearest = index;
  }
  return nearest;
}

/** Where a key moves the cursor; null for keys that do not. */
export function keyTarget(key: string, index: number, span: Span): number | null {
  const inside = (wanted: number) => Math.min(span.last, Math.max(span.first, wanted));
  switch (key) {
    case "ArrowLeft":
    case "ArrowDown":
      return inside(index - 1);
    case "ArrowRight":
    case "ArrowUp":
      return inside(index + 1);
    case "PageDown":
      return inside(index - STEPS_PER_HOUR);
    case "PageUp":
      return inside(index + STEPS_PER_HOUR);
    case "Home":
      return span.first;
    case "End":
      return span.last;
    default:
      return null;
  }
}
