import { describe, expect, it } from "vitest";

import type { ReadForm, ReadReport } from "../../generated/job";
import { figures, formName, formsAt, momentOf } from "./moment";

const form = (from: string, to: string, name: string | null): ReadForm => ({
  from,
  to,
  frames: 1,
  name,
  code: null,
  confidence: 0.7,
  reasons: [],
  shape: null,
  place: null,
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
    expect([figures(3.14159), figures(1e-6)]).toEqual(["3.14", "1.00e-6"]);
  });
});
