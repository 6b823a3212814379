// A spectrum of the sky on a logarithmic axis of frequency, with what the frames could not have shown.

import type { ReadSpectrum } from "../../generated/job";

/** The axis shows at least the frequencies at which aurora is reported to change, Hz: pulsation at its slowest to the fastest flicker. */
const REPORTED_HZ: [number, number] = [0.01, 100];

/** The spectrum to show at an instant: of those whose block holds it, that of the fewest frames averaged; else the first. */
export function spectrumAt(spectra: readonly ReadSpectrum[], instant: number): ReadSpectrum | null {
  const held = spectra.filter(({ from, to }) => Date.parse(from) <= instant && instant <= Date.parse(to));
  const finest = held.reduce<ReadSpectrum | null>(
    (best, one) => (best && best.frames_averaged <= one.frames_averaged ? best : one),
    null,
  );
  return finest ?? spectra[0] ?? null;
}

/** Ends of the axis, Hz. */
export function endsOfAxis({ frequencies_hz }: ReadSpectrum): [number, number] {
  const lowest = frequencies_hz[0] ?? REPORTED_HZ[0];
  const highest = frequencies_hz.at(-1) ?? REPORTED_HZ[1];
  return [Math.min(REPORTED_HZ[0], lowest), Math.max(REPORTED_HZ[1], highest)];
}

/** Where a frequency stands on the axis, 0 to 1; beyond its ends, at them. */
export function along(hz: number, [low, high]: [number, number]): number {
  const share = Math.log(Math.max(hz, low) / low) / Math.log(high / low);
  return Math.min(1, Math.max(0, share));
}

/** Powers of ten on the axis, Hz. */
export function decades([low, high]: [number, number]): number[] {
  const first = Math.ceil(Math.log10(low) - 1e-9);
  const last = Math.floor(Math.log10(high) + 1e-9);
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, index) => 10 ** (first + index));
}
