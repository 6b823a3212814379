import type {
  AskedBrightness,
  AuroraMotion,
  Estimate,
  ExposeRequest,
  Kit,
  OutlookReport,
  OutlookStep,
  SeenAurora,
  ShootingPurpose,
} from "../../generated/job";

/** Ends of the slider, kR. */
export const LOWEST_KR = 0.2;
export const HIGHEST_KR = 500;
/** Steps of the slider from end to end. */
export const SLIDER_STEPS = 200;

/** Where the brightness comes from: the outlook's arc at the cursor, the slider, or what is seen. */
export type Source = { kind: "predicted" } | { kind: "hand"; kr: number } | { kind: "seen"; what: SeenAurora };

/** What the page's controls hold. */
export type Controls = {
  source: Source;
  kit: Kit;
  motion: AuroraMotion | null;
  timeLapse: boolean;
  hours: number | null;
  fps: number | null;
  temperature: number | null;
  adaptationMinutes: number | null;
};

const DEFAULT_ADAPTATION_MINUTES = 30;
/** As the request type has it in the program: an ordinary green arc. */
const USUAL_COLOURS = { red_6300: 0.07, blue_4278: 0.21 };

/** Place on the slider of a brightness; beyond the ends the end. */
export function stepOf(kr: number): number {
  const share = Math.log(Math.max(kr, LOWEST_KR) / LOWEST_KR) / Math.log(HIGHEST_KR / LOWEST_KR);
  return Math.round(Math.min(1, share) * SLIDER_STEPS);
}

/** Brightness of a place on the slider, in two figures. */
export function krOf(step: number): number {
  return Number((LOWEST_KR * (HIGHEST_KR / LOWEST_KR) ** (step / SLIDER_STEPS)).toPrecision(2));
}

/** Share of the slider's length, 0..1. */
export function shareOf(kr: number): number {
  return Math.min(1, Math.max(0, Math.log(kr / LOWEST_KR) / Math.log(HIGHEST_KR / LOWEST_KR)));
}

/** The arc predicted for the cursor, where it is bright enough to be photographed for its own sake. */
export function predicted(step: OutlookStep | null): Estimate | null {
  const arc = step?.brightest?.brightest_arc_kr ?? null;
  return arc !== null && arc.value >= LOWEST_KR ? arc : null;
}

/** Where the controls start: the outlook's arc if there is one, else something faint to look for. */
export function startingSource(step: OutlookStep | null): Source {
  return predicted(step) ? { kind: "predicted" } : { kind: "hand", kr: 1 };
}

function brightnessOf(source: Source, step: OutlookStep | null): AskedBrightness {
  const arc = predicted(step);
  if (source.kind === "seen") return { kind: "seen", what: source.what };
  if (source.kind === "predicted" && arc) {
    return { kind: "given", green_5577_kr: arc.value, low_kr: arc.low, high_kr: arc.high };
  }
  return { kind: "given", green_5577_kr: source.kind === "hand" ? source.kr : LOWEST_KR, low_kr: null, high_kr: null };
}

/** The question the controls stand for, at the outing's site and the cursor's time. */
export function requestOf(controls: Controls, outlook: OutlookReport, step: OutlookStep): ExposeRequest {
  const direction = step.brightest?.direction ?? null;
  const purpose: ShootingPurpose = controls.timeLapse
    ? // an empty field goes out as it is: the program says what it wants instead
      { kind: "time_lapse", hours: controls.hours as number, fps: controls.fps as number, gap_s: 1 }
    : { kind: "still" };
  return {
    brightness: brightnessOf(controls.source, step),
    colours: USUAL_COLOURS,
    kit: controls.kit,
    sky: { kind: "at_site", site: outlook.request.site, at: step.at },
    pointing: direction && {
      altitude_deg: direction.altitude_deg,
      azimuth_deg: direction.azimuth_deg,
      roll_deg: 0,
      orientation: "landscape",
    },
    least_declination_deg: null,
    motion: controls.motion,
    purpose,
    temperature_c: controls.temperature ?? step.weather?.temperature_c ?? null,
    adaptation_minutes: controls.adaptationMinutes ?? DEFAULT_ADAPTATION_MINUTES,
  };
}
