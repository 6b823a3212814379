import { expect, it } from "vitest";

import type { ReadSpectrum } from "../../generated/job";
import { along, decades, endsOfAxis, spectrumAt } from "./spectrum";

const spectrum = (from: string, to: string, frames_averaged: number): ReadSpectrum => ({
  from: `2026-03-14T${from}Z`,
  to: `2026-03-14T${to}Z`,
  frames_averaged,
  cells: 100,
  frequencies_hz: [0.02, 0.1, 0.25],
  powers: [0.1, 0.4, 0.1],
  shown_hz: [0.02, 0.25],
  frame_rate_hz: 0.5,
  common_period_s: null,
});

it("the spectrum of the finest samples that hold an instant is shown", () => {
  const [whole, early, late] = [
    spectrum("20:00:00", "23:00:00", 8),
    spectrum("20:00:00", "21:00:00", 1),
    spectrum("22:00:00", "23:00:00", 1),
  ];
  const spectra = [whole, early, late];
  expect(spectrumAt(spectra, Date.parse("2026-03-14T22:30:00Z"))).toBe(late);
  expect(spectrumAt(spectra, Date.parse("2026-03-14T21:30:00Z"))).toBe(whole);
  expect(spectrumAt(spectra, Date.parse("2026-03-14T01:00:00Z"))).toBe(whole);
  expect(spectrumAt([], 0)).toBeNull();
});

it("the axis reaches over all that is reported, and ten is midway between one and a hundred", () => {
  expect(endsOfAxis(spectrum("20:00:00", "21:00:00", 1))).toEqual([0.01, 100]);
  expect(along(10, [1, 100])).toBeCloseTo(0.5, 12);
  expect([along(0.1, [1, 100]), along(1000, [1, 100])]).toEqual([0, 1]);
  expect(decades([0.01, 100])).toEqual([0.01, 0.1, 1, 10, 100]);
});
