import { describe, expect, it } from "vitest";

import {
  age,
  bearing,
  clock,
  counted,
  height,
  hoursAndMinutes,
  inTen,
  kilorayleighRange,
  kilorayleighs,
  nightName,
  twoDigits,
  withRange,
} from "./words";

describe("counts", () => {
  it("one thing is no things", () => {
    expect([counted(0, "star"), counted(1, "star"), counted(3, "star")]).toEqual(["0 stars", "1 star", "3 stars"]);
  });
});

describe("chances", () => {
  it("are said as the reports say them, never certain", () => {
    expect([0, 0.04, 0.05, 0.34, 0.94, 0.951, 1].map(inTen)).toEqual([
      "next to no chance",
      "less than 1 in 20",
      "1 in 10",
      "3 in 10",
      "9 in 10",
      "more than 9 in 10",
      "more than 9 in 10",
    ]);
  });

  it("never show a bare percentage", () => {
    for (let chance = 0; chance <= 1; chance += 0.01) expect(inTen(chance)).not.toContain("%");
  });
});

describe("numbers", () => {
  it("keep two digits that mean something", () => {
    expect([0, 0.034, 0.34, 3.14, 31.4, 314, Number.NaN].map(twoDigits)).toEqual([
      "0",
      "0.034",
      "0.34",
      "3.1",
      "31",
      "314",
      "not known",
    ]);
    expect(kilorayleighs(0.001)).toBe("under 0.01 kR");
  });

  it("carry their range", () => {
    expect(withRange({ value: 21.3, low: 21.1, high: 21.5, basis: "model" }, 1)).toBe("21.3 ± 0.2");
    expect(withRange({ value: 4, low: 3.5, high: 5, basis: "assumed" }, 1)).toBe("4.0 (3.5 to 5.0)");
    expect(kilorayleighRange({ value: 3.1, low: 1, high: 9.5, basis: "model" })).toBe("3.1 kR (1.0 to 9.5)");
  });

  it("name directions", () => {
    expect(bearing(359.7)).toBe("0° (north)");
    expect(bearing(202)).toBe("202° (south)");
    expect(height(-3.2)).toBe("3° below the horizon");
  });
});

describe("times", () => {
  it("of the magnetic day wrap at midnight", () => {
    expect([22.583, 23.999, 0].map(hoursAndMinutes)).toEqual(["22:35", "00:00", "00:00"]);
  });

  it("are local to the site, over a change of summer time", () => {
    expect(clock("2026-03-29T00:30:00Z", "Europe/Oslo")).toBe("01:30");
    expect(clock("2026-03-29T01:30:00Z", "Europe/Oslo")).toBe("03:30");
    expect(clock("2026-06-21T11:00:00Z", "Pacific/Auckland")).toBe("23:00");
  });

  it("name a night by both its dates", () => {
    expect(nightName("2026-03-14")).toBe("14-15 Mar 2026");
    expect(nightName("2026-12-31")).toBe("31 Dec - 1 Jan 2027");
    expect(nightName("nonsense")).toBe("nonsense");
  });

  it("tell the age of inputs", () => {
    expect([12, 130, 5000, -90, null].map(age)).toEqual([
      "12 min old",
      "2 h old",
      "3 days old",
      "issued for 2 h ahead",
      "age not known",
    ]);
  });
});
