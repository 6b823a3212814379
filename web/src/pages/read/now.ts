// Everything a reading says of one moment, in words and with its error; the pictures beside draw the same facts.

import type { GeoPosition, Horizontal, KpInterval, ReadBeam, ReadMagnetic, ReadWind } from "../../generated/job";
import type { ReadWhole } from "../../read";
import { bearing, counted, height, kilorayleighs, withRange } from "../../words";
import { nearest } from "./axis";
import { figures, formName, type Moment, momentOf, whereWords } from "./moment";
import { css, endsOf, type Rgb, shade } from "./shades";

/** A place that a magnetogram is not asked beyond, ms. */
const RECORD_REACH_MS = 120_000;
/** Wind that is not older or newer than this is of this moment, ms. */
const WIND_REACH_MS = 900_000;

export type LitBeam = ReadBeam & { colour: string | null };

/** One line of the moment: what, how much, and what it rests on or how to get it. */
export type Fact = { name: string; words: string; basis: string };

export type Now = {
  at: string;
  moment: Moment | null;
  beams: LitBeam[];
  brightest: LitBeam | null;
  outline: Horizontal[];
  magneticZenith: Horizontal | null;
  moon: Horizontal | null;
  place: GeoPosition | null;
  beamsBasis: string;
  brightestWords: string;
  skyWords: string;
  mapWords: string;
  facts: Fact[];
};

/** A number of light with its unit as one says it: kilorayleighs where they are. */
export function lightWords(value: number, whole: ReadWhole): string {
  const { calibration, unit } = whole.report;
  if (calibration) return `${kilorayleighs(value)}${calibration.is_estimate ? " (an estimate)" : ""}`;
  return `${figures(value)} (${unit}, not calibrated)`;
}

/** The interval of an index that holds an instant. */
export function kpAt(kp: readonly KpInterval[], instant: number): KpInterval | null {
  return kp.find(({ from, to }) => Date.parse(from) <= instant && instant < Date.parse(to)) ?? null;
}

/** The wind nearest to an instant, where one is near. */
export function windAt(wind: readonly ReadWind[], instant: number): ReadWind | null {
  const times = wind.map(({ at }) => Date.parse(at));
  const found = wind[nearest(times, instant)];
  return found && Math.abs(Date.parse(found.at) - instant) <= WIND_REACH_MS ? found : null;
}

/** What the magnetogram says at an instant, nT from its quiet level. */
export function fieldAt(whole: ReadWhole, instant: number): { value: number; bay: boolean } | null {
  const magnetic = whole.report.magnetic;
  if (!magnetic) return null;
  const times = magnetic.trace.map(({ at }) => Date.parse(at));
  const point = magnetic.trace[nearest(times, instant)];
  if (!point || point.north_nt === null || Math.abs(Date.parse(point.at) - instant) > RECORD_REACH_MS) return null;
  const bay = magnetic.bays.some(({ from, to }) => Date.parse(from) <= instant && instant <= Date.parse(to));
  return { value: point.north_nt - magnetic.quiet_nt, bay };
}

/** What the curve still shows and bays and onsets do not count. */
const spikeWords = ({ spikes, steps }: ReadMagnetic) =>
  spikes + steps === 0
    ? "drawn as the file has it"
    : `drawn as the file has it: ${counted(spikes, "spike")} and ${counted(steps, "step")} of its base line are in the curve, and left out of bays and onsets`;

const signed = (value: number) => `${value < 0 ? "−" : "+"}${Math.abs(value).toFixed(0)}`;
const degrees = (value: number, positive: string, negative: string) =>
  `${Math.abs(value).toFixed(1)}° ${value < 0 ? negative : positive}`;

const minuteOf = (at: string) => `${at.slice(0, 10)} ${at.slice(11, 16)} UTC`;
const issuedWords = (at: string | null) => (at === null ? "" : `, issued ${minuteOf(at)}`);
const askedWords = (at: string | null) => (at === null ? "" : `; looked up ${minuteOf(at)}`);

function recordFacts(whole: ReadWhole, instant: number): Fact[] {
  const { report, space } = whole;
  const magnetic = report.magnetic;
  const field = fieldAt(whole, instant);
  const kp = kpAt(space.kp, instant);
  const wind = windAt(space.wind, instant);
  const facts: Fact[] = [];
  facts.push({
    name: "Magnetogram",
    words: !magnetic
      ? "none was given"
      : field
        ? `${signed(field.value)} nT from the quiet level${field.bay ? ", within a bay" : ""}`
        : "a gap, or beyond the record",
    basis: magnetic
      ? `${magnetic.element} of ${magnetic.station}; quiet level ${magnetic.quiet_nt.toFixed(0)} nT; ${(100 * magnetic.coverage).toFixed(0)} % of the record is there; ${spikeWords(magnetic)}; the file gives no error`
      : "name a file of a station near by below, and read again",
  });
  facts.push({
    name: "Kp",
    words: kp ? kp.kp.toFixed(1).replace(".0", "") : "not stored for this time",
    basis: kp
      ? `${space.kp_source}; ${kp.kind}${issuedWords(space.kp_issued_at)}; steps of a third`
      : "pull the feeds (Outlook) within days of the night: publishers keep no more",
  });
  facts.push({
    name: "Solar wind at Earth",
    words: wind
      ? `Bz ${wind.bz_nt.toFixed(1)} nT${wind.bz_nt < 0 ? " (southward)" : ""}, ${wind.speed_km_s.toFixed(0)} km/s`
      : "not stored for this time",
    basis: wind
      ? `${space.wind_source}; its time of arrival is good to some minutes${askedWords(space.asked_at)}`
      : "as with Kp; a measured wind is kept for about a week",
  });
  return facts;
}

/** The moment of a column. `ramp`: colours from dark to light. */
export function nowOf(whole: ReadWhole, index: number, at: number, ramp: Rgb[]): Now {
  const { report, beside } = whole;
  const moment = momentOf(report, index);
  const column = report.keogram?.columns[index];
  const ends = report.keogram ? endsOf(report.keogram) : null;
  const beams = beside.beams.map((beam, bin) => {
    const colour = shade(column?.values[bin], ends, ramp);
    return { ...beam, colour: colour && css(colour) };
  });
  const wanted = moment?.brightest?.angle_deg;
  const bin = report.keogram?.bins.findIndex(({ zenith_angle_deg }) => zenith_angle_deg === wanted) ?? -1;
  const brightest = beams[bin] ?? null;
  const latitude = report.keogram?.bins[bin]?.magnetic_latitude_deg ?? null;
  const skyIndex = nearest(
    beside.sky.map((step) => Date.parse(step.at)),
    at,
  );
  const sky = beside.sky[skyIndex] ?? null;
  const brightestWords = moment?.brightest ? lightWords(moment.brightest.value, whole) : "";
  const skyWords = brightest
    ? `Brightest ${brightestWords}, ${height(brightest.direction.altitude_deg)} toward ${bearing(brightest.direction.azimuth_deg)}.`
    : report.keogram
      ? "No light along the line at this time."
      : `Directions are not known (${report.lens.why_not ?? "no lens"}): give site and kit, or frames with more stars.`;
  const place = brightest?.ground?.[1] ?? null;
  const away = brightest?.distance_km;
  const mapWords = !beside.place
    ? "The place is not known: pick an outing or a site, and read again."
    : place && away
      ? `Light stands ${withRange(away, 0)} km away, over ${degrees(place.latitude_deg, "N", "S")} ${degrees(place.longitude_deg, "E", "W")}${latitude === null ? "" : `, magnetic latitude ${latitude.toFixed(1)}°`}.`
      : "No light that could be put on the map.";
  const point = nearest(
    report.light.map((one) => Date.parse(one.at)),
    at,
  );
  const light = report.light[point];
  const sigma = beside.light_sigma[point] ?? null;
  const facts: Fact[] = [];
  if (light) {
    facts.push({
      name: report.keogram ? "Light of all the sky seen" : "Light of the picture",
      words: `${figures(light.light)}${sigma === null ? "" : ` ± ${figures(sigma)}`} ${report.keogram ? `${report.calibration ? "kR" : "of the unit"} × sr` : ""}`,
      basis: "one standard deviation of the scatter from point to point; the scale's own error comes on top",
    });
  }
  moment?.borders.forEach((border, side) =>
    facts.push({
      name: side === 0 ? "Edge away from the pole" : "Edge toward the pole",
      words: border.open
        ? "beyond the view"
        : `${border.angle_deg.toFixed(0)}° from the zenith${border.latitude_deg === null ? "" : `, magnetic latitude ${border.latitude_deg.toFixed(1)}°`}`,
      basis: "to a step of the line, which is a degree",
    }),
  );
  for (const form of moment?.forms ?? []) {
    facts.push({
      name: "Form",
      words: `${formName(form)}${whereWords(form)}${form.name === null ? "" : `, right in ${(10 * form.confidence).toFixed(0)} of 10`}`,
      basis: form.reasons.join("; "),
    });
  }
  if (sky) {
    facts.push({
      name: "Sun and moon",
      words: `${darknessWords(sky.darkness)}, sun ${Math.abs(sky.sun_altitude_deg).toFixed(0)}° ${sky.sun_altitude_deg < 0 ? "down" : "up"}; moon ${height(sky.moon.altitude_deg)}`,
      basis: "worked out for the camera's place, to 0.1°",
    });
  }
  return {
    at: new Date(at).toISOString(),
    moment,
    beams,
    brightest,
    outline: report.lens.outline,
    magneticZenith: beside.magnetic_zenith,
    moon: sky?.moon ?? null,
    place: beside.place,
    beamsBasis: beside.beams_basis,
    brightestWords,
    skyWords,
    mapWords,
    facts: [...facts, ...recordFacts(whole, at)],
  };
}

const DARKNESS = {
  day: "daylight",
  civil: "civil twilight",
  nautical: "nautical twilight",
  astronomical: "astronomical twilight",
  dark: "dark",
} as const;

export const darknessWords = (darkness: keyof typeof DARKNESS) => DARKNESS[darkness];
