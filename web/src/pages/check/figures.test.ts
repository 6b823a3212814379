import { describe, expect, it } from "vitest";

import type { CheckReport } from "../../generated/job";
import { rows } from "./figures";

const unread: CheckReport = {
  file: "x.jpg",
  summary: "",
  advice: [],
  next: null,
  scene: "unreadable",
  scene_why: "no picture",
  moonlit: null,
  kind: null,
  size_px: null,
  taken: null,
  settings: {
    exposure_s: null,
    iso: null,
    f_number: null,
    focal_mm: null,
    camera: null,
    camera_serial: null,
    lens: null,
    pixel_arcsec: null,
  },
  stars: { count: 0, matched: null, alike: false, hfd_px: null, fwhm_px: null, elongation: null, angle_deg: null },
  focus: null,
  motion: null,
  lens: null,
  sky: null,
  sky_mag_arcsec2: null,
  cloud_fraction: null,
  cloud_method: null,
  foreground_fraction: null,
  body: null,
  aurora: null,
  clipping: [],
  not_measured: [],
  doubts: [],
  notes: [],
};

describe("the numbers of a frame", () => {
  it("leave out what is not known", () => {
    expect(rows(unread).map((row) => row.what)).toEqual(["Scene", "Stars"]);
  });

  it("say settings as a camera does, and what is full where", () => {
    const report: CheckReport = {
      ...unread,
      settings: { ...unread.settings, exposure_s: 0.25, f_number: 1.8, iso: 3200 },
      clipping: [
        {
          channel: "green",
          share: 0.03,
          sky_share: 0.02,
          lights_share: 0.01,
          spare_stops: { value: 1.26, low: 1.26, high: 2.26, basis: "model" },
        },
      ],
    };
    const found = Object.fromEntries(rows(report).map((row) => [row.what, row.value]));
    expect(found["Settings"]).toBe("1/4 s, f/1.8, ISO 3200");
    expect(found["Full in green"]).toBe("2.00 % in the sky, 1.00 % in lights; 1.3 (1.3 to 2.3) stops to spare");
  });

  it("say how bright the aurora is, and how far it reaches", () => {
    const estimate = (value: number) => ({ value, low: 0.5 * value, high: 2 * value, basis: "model" as const });
    const report: CheckReport = {
      ...unread,
      cloud_fraction: estimate(0.3),
      aurora: {
        present: "yes",
        is_least: false,
        lines: null,
        form: null,
        probability: 0.94,
        brightest_kr: estimate(12),
        median_kr: estimate(3),
        extent: estimate(0.2),
        words: [],
      },
    };
    const found = Object.fromEntries(rows(report).map((row) => [row.what, row.value]));
    expect(found["Aurora"]).toBe("yes (probability 0.94)");
    expect(found["Brightness"]).toBe("brightest 12.0 (6.0 to 24.0) kR, middling 3.0 (1.5 to 6.0)");
    expect(found["Extent"]).toBe("20 (10 to 40) % of the sky");
    expect(found["Cloud"]).toBe("30 (15 to 60) % of the sky");
  });
});
