// Rows of a plot: from a value to a height.

/** The least and the greatest of the numbers; a little apart where all are equal. */
export function rangeOf(values: readonly number[]): [number, number] {
  const finite = values.filter(Number.isFinite);
  if (finite.length === 0) return [0, 1];
  const [low, high] = [Math.min(...finite), Math.max(...finite)];
  return high > low ? [low, high] : [low - 0.5, high + 0.5];
}

/** Room above and below the line, px. */
const ROOM = 4;

/** Where a value stands in a row, px from the top of the plot. */
export function scale(value: number, [low, high]: [number, number], top: number, height: number): number {
  return top + height - ROOM - ((value - low) / (high - low)) * (height - 2 * ROOM);
}
