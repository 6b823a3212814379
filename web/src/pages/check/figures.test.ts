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
    lens: null,
    pixel_arcsec: null,
  },
  stars: { count: 0, alike: false, hfd_px: null, fwhm_px: null, elongation: null, angle_deg: null },
  focus: null,
  motion: null,
  lens: null,
  sky: null,
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
});
