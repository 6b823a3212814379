import { describe, expect, it } from "vitest";

import type { ReadForm, ReadReport } from "../../generated/job";
import { figures, formName, formsAt, laidOut, momentOf, startOf, whereWords } from "./moment";

const form = (from: string, to: string, name: string | null): ReadForm => ({
  from,
  to,
  frames: 1,
  looked_at: 1,
  name,
  code: null,
  confidence: 0.7,
  reasons: [],
  shape: null,
  place: null,
  middle: null,
});

describe("a moment of a reading", () => {
  const arc = form("2026-03-14T20:00:00Z", "2026-03-14T20:10:00Z", "arc_or_band");
  const report = {
    forms: [arc, form("2026-03-14T21:00:00Z", "2026-03-14T21:00:00Z", null)],
    keogram: {
      column_s: 60,
      bins: [{ zenith_angle_deg: -10 }, { zenith_angle_deg: 0 }, { zenith_angle_deg: 10 }],
      columns: [{ at: "2026-03-14T20:05:00Z", frames: 1, values: [1, null, 4] }],
      borders: [
        {
          at: "2026-03-14T20:05:00Z",
          zenith_angle_deg: [5, 12],
          magnetic_latitude_deg: [66, null],
          open: [false, true],
        },
      ],
    },
  } as unknown as ReadReport;

  it("has its brightest bin, its borders and its forms", () => {
    const moment = momentOf(report, 0);
    expect(moment?.brightest).toEqual({ angle_deg: 10, value: 4 });
    expect(moment?.borders.map((border) => border.angle_deg)).toEqual([5, 12]);
    expect(moment?.forms).toEqual([arc]);
    expect(momentOf(report, 1)).toBeNull();
  });

  it("finds a form half a column beside its stretch", () => {
    const after = Date.parse("2026-03-14T20:10:25Z");
    expect(formsAt([arc], after, 60)).toHaveLength(1);
    expect(formsAt([arc], after + 10_000, 60)).toHaveLength(0);
  });

  it("says forms and figures plainly", () => {
    expect(formName(arc)).toBe("arc or band");
    expect(formName(form("", "", null))).toBe("cannot tell");
    expect([3.14159, 0.2, 0.000_421_7, 54_321].map(figures)).toEqual(["3.14", "0.200", "0.000422", "54300"]);
    const middle = { altitude_deg: 31.2, azimuth_deg: 349.6 };
    expect(whereWords({ ...arc, middle })).toBe(", around 350° (north), 31° up");
  });

  it("starts at the brightest aurora, not at the moon", () => {
    const light = [
      { at: "2026-03-14T20:02:00Z", light: 3 },
      { at: "2026-03-14T20:08:00Z", light: 5 },
      { at: "2026-03-14T21:00:00Z", light: 90 },
    ];
    const aurora = { looked_at: 3, yes: 2, no: 1, cannot_tell: 0, brightest: "2026-03-14T20:02:00Z", lines: null };
    const start = (report: Parameters<typeof startOf>[0]) => new Date(startOf(report) ?? 0).toISOString().slice(11, 16);
    expect(start({ ...report, light, aurora })).toBe("20:02");
    // reports from before the brightest was kept: where a form is told; without any form the greatest light
    expect(start({ ...report, light, aurora: { ...aurora, brightest: null } })).toBe("20:08");
    expect(start({ ...report, forms: [], light, aurora: { ...aurora, brightest: null } })).toBe("21:00");
  });

  it("lays buttons of forms out so that none lies on another", () => {
    const shown = { from: Date.parse("2026-03-14T20:00:00Z"), to: Date.parse("2026-03-14T21:00:00Z") };
    const at = (minute: number) => `2026-03-14T20:${String(minute).padStart(2, "0")}:00Z`;
    const forms = [
      form(at(0), at(1), "arc"),
      form(at(3), at(4), "band"),
      form(at(0), at(30), "rays"),
      form(at(59), at(59), null),
    ];
    const spans = laidOut(forms, shown, 0.2);
    expect(spans.map(({ row }) => row)).toEqual([0, 1, 2, 0]);
    for (const a of spans) {
      expect(a.right - a.left).toBeGreaterThan(0.199);
      expect(a.right).toBeLessThan(1.000_001);
      for (const b of spans.filter((b) => b !== a && b.row === a.row))
        expect(b.left >= a.right || b.right <= a.left).toBe(true);
    }
  });
});
