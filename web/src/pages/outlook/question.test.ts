import { describe, expect, it } from "vitest";

import type { Conditions, Kit, OutlookRequest, Site } from "../../generated/job";
import { conditionsFor, controlOf, requestFrom, requestOf, shiftNight, startingAnswers } from "./question";

const site: Site = {
  name: "Test bay",
  position: { latitude_deg: 69, longitude_deg: 15, height_m: 4 },
  time_zone: "Europe/Oslo",
  sky_quality: { kind: "from_towns" },
  horizon: [],
  snow_cover: false,
  notes: "",
  water: [],
  foreground: [],
  drive_minutes: null,
};
const kit = { name: "Test kit" } as Kit;
const stored: OutlookRequest = {
  site,
  kit,
  night: "2026-03-14",
  asked_at: "2026-03-14T15:00:00Z",
  activity: { source: "a table", issued_at: null, intervals: [] },
  other_activity: [],
  elsewhere: [],
  input_notes: [],
  upstream: null,
  precipitation: null,
  weather: {
    source: "a forecast",
    issued_at: "2026-03-14T12:00:00Z",
    hours: [
      {
        from: "2026-03-14T12:00:00Z",
        to: "2026-03-15T12:00:00Z",
        cloud: { total: 0.34, low: null, medium: null, high: null },
        fog: null,
        temperature_c: null,
        dew_point_c: null,
        wind_m_s: null,
        wind_from_deg: null,
        gust_m_s: null,
      },
    ],
    around: [],
  },
  f107: 150,
  adaptation_minutes: 20,
};
const NOW = "2026-03-20T10:00:00Z";

function answers() {
  const start = startingAnswers(stored, [site], [kit], "2026-03-20");
  if (!start) throw new Error("a site and a kit are there");
  return start;
}

describe("the question", () => {
  it("asks the feeds first where something is to come from them, and for nothing else", () => {
    expect(conditionsFor(answers(), stored, NOW)).toBeNull();
    const fed = { ...answers(), activity: "feeds" as const, compareWith: [site, { ...site, name: "Other bay" }] };
    const asked = conditionsFor(fed, stored, NOW);
    expect(asked?.asked_at).toBe(NOW);
    expect(asked?.elsewhere.map((other) => other.name)).toEqual(["Other bay"]);
  });

  it("takes from the feeds what was chosen to come from them, each site its own forecast", () => {
    const other = { ...site, name: "Other bay" };
    const weather = (source: string) => ({ source, issued_at: null, hours: [], around: [] });
    const conditions: Conditions = {
      activity: { source: "an agency", issued_at: NOW, intervals: [] },
      other_activity: [{ source: "another agency", issued_at: NOW, intervals: [] }],
      upstream: null,
      precipitation: null,
      f107: 141,
      weather: weather("forecast here"),
      elsewhere: [{ site: other, weather: weather("forecast there") }],
      notes: ["the solar wind is 3 h old"],
    };
    const start = { ...answers(), compareWith: [site, other] };
    const all = requestOf({ ...start, activity: "feeds", cloud: "feeds" }, stored, NOW, conditions);
    expect([all.activity.source, all.weather.source]).toEqual(["an agency", "forecast here"]);
    expect(all.elsewhere.map((row) => row.weather.source)).toEqual(["forecast there"]);
    expect([all.other_activity.length, all.asked_at, all.input_notes]).toEqual([1, NOW, conditions.notes]);
    const cloudByHand = requestOf({ ...start, activity: "feeds", cloud: 5 }, stored, NOW, conditions);
    expect(cloudByHand.weather.source).toBe("given by hand");
    const tableKept = requestOf({ ...start, cloud: "feeds" }, stored, NOW, conditions);
    expect(tableKept.activity.source).toBe("a table");
  });

  it("sends the stored request unchanged when nothing was touched", () => {
    expect(requestOf(answers(), stored, NOW)).toEqual(stored);
  });

  it("covers the night at every longitude with a Kp given by hand", () => {
    const request = requestOf({ ...answers(), activity: "hand", kp: 5 }, stored, NOW);
    expect(request.activity.intervals).toEqual([
      { from: "2026-03-14T00:00:00.000Z", to: "2026-03-16T00:00:00.000Z", kp: 5, kind: "given" },
    ]);
  });

  it("asks anew for another night", () => {
    expect(requestOf({ ...answers(), night: "2026-03-15" }, stored, NOW).asked_at).toBe(NOW);
  });

  it("says that cloud is not known", () => {
    const request = requestOf({ ...answers(), cloud: null }, stored, NOW);
    expect(request.weather).toEqual({ source: "nothing given", issued_at: null, hours: [], around: [] });
  });

  it("lets wrong values through to the program, which has the rule", () => {
    expect(requestOf({ ...answers(), activity: "hand", kp: 12 }, stored, NOW).activity.intervals[0]?.kp).toBe(12);
    expect(requestOf({ ...answers(), night: "", activity: "hand", kp: 3 }, stored, NOW).night).toBe("");
  });

  it("has no start without a site or a kit", () => {
    expect(startingAnswers(null, [], [kit], "2026-03-20")).toBeNull();
  });

  it("goes from night to night over the ends of months", () => {
    expect(shiftNight("2026-02-28", 1)).toBe("2026-03-01");
    expect(shiftNight("2027-01-01", -1)).toBe("2026-12-31");
    expect(shiftNight("soon", 1)).toBe("soon");
  });

  it("changes places with a site that was compared", () => {
    const there = { site: { ...site, name: "Other bay" }, weather: stored.weather };
    const request = requestFrom({ ...stored, elsewhere: [there] }, "Other bay");
    expect(request.site.name).toBe("Other bay");
    expect(request.elsewhere.map((candidate) => candidate.site.name)).toEqual(["Test bay"]);
    expect(requestFrom(request, "nowhere")).toBe(request);
  });

  it("compares with every site but its own, each once", () => {
    const other = { ...site, name: "Other bay" };
    const request = requestOf({ ...answers(), compareWith: [site, other] }, stored, NOW);
    expect(request.elsewhere.map((candidate) => candidate.site.name)).toEqual(["Other bay"]);
  });

  it("finds the control of an error", () => {
    expect(controlOf("activity.intervals[0].kp")).toBe("kp");
    expect(controlOf("kit.iso")).toBeNull();
  });
});
