// Numbers and times as people say them. No physics: every number comes from a report.

import type { Estimate } from "./generated/job";

/** A chance in the words of the reports: "3 in 10". Never certain, never a percentage. */
export function inTen(chance: number): string {
  if (chance < 0.005) return "next to no chance";
  if (chance < 0.05) return "less than 1 in 20";
  if (chance > 0.95) return "more than 9 in 10";
  return `${Math.max(1, tenthsOf(chance))} in 10`;
}

/** How many of ten marks to fill. */
export function tenthsOf(chance: number): number {
  return Math.round(Math.min(1, Math.max(0, chance)) * 10);
}

/** Two significant digits, without an exponent. */
export function twoDigits(value: number): string {
  if (!Number.isFinite(value)) return "not known";
  if (value === 0) return "0";
  const places = Math.max(0, 1 - Math.floor(Math.log10(Math.abs(value))));
  return value.toFixed(Math.min(places, 4));
}

/** A brightness in kR; below a hundredth the digits mean nothing. */
export function kilorayleighs(value: number): string {
  return value < 0.01 ? "under 0.01 kR" : `${twoDigits(value)} kR`;
}

/** "3.1 kR (1.0 to 9.5)". */
export function kilorayleighRange(estimate: Estimate): string {
  if (estimate.high < 0.01) return "under 0.01 kR";
  return `${kilorayleighs(estimate.value)} (${twoDigits(Math.max(0, estimate.low))} to ${twoDigits(estimate.high)})`;
}

/** "21.3 ± 0.2" if both sides are equal to the digit shown, else "21.3 (20.9 to 21.5)". */
export function withRange(estimate: Estimate, places: number): string {
  const down = (estimate.value - estimate.low).toFixed(places);
  const up = (estimate.high - estimate.value).toFixed(places);
  const value = estimate.value.toFixed(places);
  if (down === up) return `${value} ± ${up}`;
  return `${value} (${estimate.low.toFixed(places)} to ${estimate.high.toFixed(places)})`;
}

/** "12° up", "3° below the horizon". */
export function height(altitude_deg: number): string {
  const degrees = Math.abs(Math.round(altitude_deg));
  return altitude_deg < 0 ? `${degrees}° below the horizon` : `${degrees}° up`;
}

const COMPASS = ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];

/** "350° (north)". */
export function bearing(azimuth_deg: number): string {
  const name = COMPASS[Math.round(azimuth_deg / 45) % 8] ?? "";
  return `${Math.round(azimuth_deg) % 360}° (${name})`;
}

/** Age of an input: "12 min", "2 h", "3 days". */
export function age(minutes: number | null): string {
  if (minutes === null) return "age not known";
  if (minutes < 0) return `issued for ${span(-minutes)} ahead`;
  return `${span(minutes)} old`;
}

function span(minutes: number): string {
  if (minutes < 90) return `${Math.round(minutes)} min`;
  if (minutes < 48 * 60) return `${Math.round(minutes / 60)} h`;
  return `${Math.round(minutes / 1440)} days`;
}

/** "22:35" from decimal hours of magnetic local time. */
export function hoursAndMinutes(hours: number): string {
  const minutes = ((Math.round(hours * 60) % 1440) + 1440) % 1440;
  return `${String(Math.floor(minutes / 60)).padStart(2, "0")}:${String(minutes % 60).padStart(2, "0")}`;
}

function formatter(time_zone: string, options: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
  try {
    return new Intl.DateTimeFormat("en-GB", { ...options, timeZone: time_zone });
  } catch {
    // an old browser may not know the zone: UTC, and the caller's label says which
    return new Intl.DateTimeFormat("en-GB", { ...options, timeZone: "UTC" });
  }
}

/** Local time of a site: "22:40". */
export function clock(at: string, time_zone: string): string {
  return formatter(time_zone, { hour: "2-digit", minute: "2-digit", hourCycle: "h23" }).format(new Date(at));
}

/** "Sat 14 Mar, 22:40". */
export function dayAndClock(at: string, time_zone: string): string {
  const day = formatter(time_zone, { weekday: "short", day: "numeric", month: "short" }).format(new Date(at));
  return `${day}, ${clock(at, time_zone)}`;
}

/** The zone as people there write it: "CET", "GMT+13". */
export function zoneName(at: string, time_zone: string): string {
  const parts = formatter(time_zone, { timeZoneName: "short" }).formatToParts(new Date(at));
  return parts.find((part) => part.type === "timeZoneName")?.value ?? time_zone;
}

/** The two dates a night joins: "14-15 Mar 2026", "31 Mar - 1 Apr 2026". */
export function nightName(night: string): string {
  const first = new Date(`${night}T00:00:00Z`);
  if (Number.isNaN(first.getTime())) return night;
  const second = new Date(first.getTime() + 86_400_000);
  const month = (date: Date) => date.toLocaleString("en-GB", { month: "short", timeZone: "UTC" });
  const year = second.getUTCFullYear();
  if (month(first) === month(second)) {
    return `${first.getUTCDate()}-${second.getUTCDate()} ${month(second)} ${year}`;
  }
  return `${first.getUTCDate()} ${month(first)} - ${second.getUTCDate()} ${month(second)} ${year}`;
}

/** Waiting shorter than this needs no words. */
export const QUIET_WAIT_MS = 300;

/** "1 star", "3 stars". */
export function counted(count: number, what: string): string {
  return `${count} ${what}${count === 1 ? "" : "s"}`;
}
