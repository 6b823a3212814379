// Light as a colour of the one ramp, over the logarithm of what there is, as the program's own drawing has it.

import type { ReadKeogram } from "../../generated/job";

const STOPS = 13;
/** Places in order of the light at the two ends of the ramp: single lamps do not set it. As in crates/draw. */
const ENDS = [0.02, 0.995] as const;

export type Rgb = [number, number, number];

/** The stops of the ramp as the palette has them now. */
export function rampOf(style: Pick<CSSStyleDeclaration, "getPropertyValue">): Rgb[] {
  const pen = new OffscreenCanvas(1, 1).getContext("2d");
  if (!pen) return [];
  return Array.from({ length: STOPS }, (_, stop) => {
    // a build may write a colour by its name or with three digits: the canvas gives six back
    pen.fillStyle = style.getPropertyValue(`--qa-ramp-${String(stop).padStart(2, "0")}`).trim();
    const number = Number.parseInt(String(pen.fillStyle).slice(1), 16);
    return [(number >> 16) & 255, (number >> 8) & 255, number & 255];
  });
}

/** First and last bin that any frame shows: the rest of the line lies outside the picture. */
export function seenBins(keogram: ReadKeogram): [number, number] {
  const isSeen = (bin: number) => keogram.columns.some((column) => typeof column.values[bin] === "number");
  const bins = keogram.bins.map((_, bin) => bin);
  return [bins.find(isSeen) ?? 0, bins.findLast(isSeen) ?? Math.max(0, bins.length - 1)];
}

/** Logarithms of the light at the two ends of the ramp; null where nothing is lit. */
export function endsOf(keogram: ReadKeogram): [number, number] | null {
  const logs = keogram.columns
    .flatMap((column) => column.values)
    .filter((value): value is number => value !== null && value > 0)
    .map(Math.log)
    .sort((a, b) => a - b);
  const at = (share: number) => logs[Math.round(share * (logs.length - 1))];
  const [low, high] = [at(ENDS[0]), at(ENDS[1])];
  return low === undefined || high === undefined ? null : [low, Math.max(high, low + 1e-3)];
}

/** The colour of a light; null where there is none to show. */
export function shade(value: number | null | undefined, ends: [number, number] | null, ramp: Rgb[]): Rgb | null {
  if (value === null || value === undefined || ends === null) return null;
  const share = Math.min(1, Math.max(0, (Math.log(Math.max(value, Number.MIN_VALUE)) - ends[0]) / (ends[1] - ends[0])));
  const place = share * (ramp.length - 1);
  const [low, high] = [ramp[Math.floor(place)], ramp[Math.ceil(place)]];
  if (!low || !high) return null;
  const mixed = (channel: 0 | 1 | 2) => low[channel] + (high[channel] - low[channel]) * (place - Math.floor(place));
  return [mixed(0), mixed(1), mixed(2)];
}

export const css = (colour: Rgb) => `rgb(${colour.map((channel) => Math.round(channel)).join(" ")})`;
