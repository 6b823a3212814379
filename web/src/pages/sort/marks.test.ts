import { describe, expect, it } from "vitest";

import type { SortedFrame, SortReport } from "../../generated/job";
import { filters, mark, overlaid, passes, rows, shortName, spoken } from "./marks";

const frame: SortedFrame = {
  name: "card 1/IMG_0001.jpg",
  companions: [],
  content_hash: "00",
  bytes: 1,
  utc: "2026-03-14T21:10:05Z",
  local: "2026-03-14 22:09:28",
  local_corrected: "2026-03-14 22:10:05",
  camera: null,
  sequence: 0,
  verdict: "dud",
  person: null,
  rating: -1,
  reasons: [
    { kind: "soft", value: 3.1, threshold: 2.3, words: "stars 3.1 px wide against this night's best 1.7" },
    { kind: "cloud", value: 0.8, threshold: 0.5, words: "cloud over 80 %" },
  ],
  why: "stars 3.1 px wide against this night's best 1.7; cloud over 80 %",
  like: null,
  score: null,
  measures: {
    scene: "night_sky",
    exposure_s: 0.25,
    iso: 3200,
    f_number: null,
    focal_mm: null,
    stars: 214,
    hfd_px: 3.14,
    elongation: null,
    trail_px: null,
    sky_stops: null,
    clipped_share: null,
    cloud_fraction: 0.8,
    cloud_method: "star_density",
    aurora_probability: null,
    aurora_brightest_kr: null,
    aurora_extent: null,
    ra_deg: null,
    dec_deg: null,
    lamp_share: null,
    glare_share: null,
  },
};

describe("a frame's mark", () => {
  it("names the plainest fault, and a person's word before it", () => {
    expect(mark(frame)).toBe("dud: soft");
    expect(mark({ ...frame, person: "keep", verdict: "keep" })).toBe("you: keep");
    expect(mark({ ...frame, person: "undecided", verdict: "undecided" })).toBe("you: open");
    expect(mark({ ...frame, verdict: "spare", reasons: [], like: 3 })).toBe("like another");
  });

  it("comes with what was measured, and nothing that was not", () => {
    expect(overlaid(frame)).toBe("214 stars · 3.1 px · cloud 80 %");
    expect(rows(frame).map((row) => row.what)).toEqual([
      "Exposure",
      "ISO",
      "Stars",
      "Width of stars",
      "Cloud",
      "Rating",
    ]);
    expect(rows(frame)[0]?.value).toBe("1/4 s");
    expect(shortName(frame.name)).toBe("IMG_0001.jpg");
    expect(spoken(frame)).toMatch(/^22:10:05, stars 3.1 px/);
    expect(spoken({ ...frame, local_corrected: null })).toMatch(/^21:10:05 UTC/);
  });
});

describe("the filter", () => {
  it("counts a frame under each of its faults, and under none that a person kept", () => {
    expect(passes("soft", frame) && passes("cloud", frame) && passes("dud", frame)).toBe(true);
    expect(passes("lamp_swept", frame) || passes("yours", frame)).toBe(false);
    const kept: SortedFrame = { ...frame, person: "keep", verdict: "keep" };
    expect(passes("soft", kept)).toBe(false);
    expect(passes("yours", kept)).toBe(true);
  });

  it("offers only what leaves something", () => {
    const report: SortReport = {
      summary: "",
      frames_total: 1,
      keepers: 0,
      duds: 1,
      spare: 0,
      undecided: 0,
      reasons: [{ kind: "soft", frames: 1 }],
      best: [],
      frames: [frame],
      sequences: [],
      cameras: [],
      notes: [],
    };
    expect(filters(report).map((row) => row.filter)).toEqual(["all", "dud", "soft"]);
  });
});
