// A frame's mark, its measures and its filter in words. Every number comes from the report.

import type { DudKind, PersonVerdict, SortedFrame, SortReport } from "../../generated/job";
import { counted } from "../../words";

/** What is shown of the sheet: all, what has one verdict, what a person judged, or the duds with one fault. */
export type Filter = "all" | "keep" | "spare" | "dud" | "undecided" | "yours" | DudKind;

export const FAULTS: Record<DudKind, string> = {
  unreadable: "unreadable",
  cut_short: "cut short",
  copy: "a copy",
  dark: "nothing but dark",
  underexposed: "far too dark",
  burnt_out: "burnt out",
  soft: "soft",
  trailed: "trailed",
  shaken: "shaken",
  cloud: "cloud",
  stars_lost: "stars gone",
  lamp_swept: "lamp",
  moon_flare: "moon flare",
  no_aurora: "no aurora",
  daylight: "daylight",
  not_a_photograph: "not a photograph",
};

const YOURS: Record<PersonVerdict, string> = { keep: "you: keep", dud: "you: dud", undecided: "you: open" };

/** The one mark of a frame. */
export function mark(frame: SortedFrame): string {
  if (frame.person) return YOURS[frame.person];
  if (frame.verdict === "keep") return "keep";
  if (frame.verdict === "spare") return frame.like === null ? "good" : "like another";
  if (frame.verdict === "undecided") return "undecided";
  const [first] = frame.reasons;
  return first ? `dud: ${FAULTS[first.kind]}` : "dud";
}

/** The mark in one letter or sign, for a glance: never colour alone. */
export function sign(frame: SortedFrame): string {
  return { keep: "✓", spare: "·", dud: "✗", undecided: "?" }[frame.verdict];
}

/** "22:21:10", by the camera's clock as corrected, else in UTC. */
export function hour(frame: SortedFrame): string {
  const local = frame.local_corrected;
  if (local !== null) return (local.split(/[ T]/)[1] ?? local).slice(0, 8);
  return frame.utc === null ? "" : `${frame.utc.slice(11, 19)} UTC`;
}

/** The file's own name without its folders. */
export function shortName(name: string): string {
  return name.slice(name.lastIndexOf("/") + 1);
}

/** What lies over a thumbnail: stars, their width, the aurora where it is measured. */
export function overlaid(frame: SortedFrame): string {
  const { stars, hfd_px, aurora_brightest_kr, cloud_fraction } = frame.measures;
  const parts = [
    stars === null ? null : counted(stars, "star"),
    hfd_px === null ? null : `${hfd_px.toFixed(1)} px`,
    aurora_brightest_kr === null ? null : `${aurora_brightest_kr.toPrecision(2)} kR`,
    cloud_fraction === null ? null : `cloud ${(100 * cloud_fraction).toFixed(0)} %`,
  ];
  return parts.filter((part) => part !== null).join(" · ");
}

/** What is heard of a frame beside what is seen: its time, and why it is what it is. */
export function spoken(frame: SortedFrame): string {
  return [hour(frame), frame.why].filter((part) => part !== "").join(", ");
}

export type Row = { what: string; value: string };

/** The measures that are known, a row each. */
export function rows(frame: SortedFrame): Row[] {
  const { measures } = frame;
  const list: Row[] = [];
  const put = (what: string, value: number | null, say: (value: number) => string) => {
    if (value !== null) list.push({ what, value: say(value) });
  };
  const share = (value: number) => `${(100 * value).toFixed(1)} %`;
  put("Exposure", measures.exposure_s, (s) => (s < 0.28 ? `1/${(1 / s).toFixed(0)} s` : `${s} s`));
  put("ISO", measures.iso, String);
  put("Aperture", measures.f_number, (f) => `f/${f}`);
  put("Focal length", measures.focal_mm, (mm) => `${mm} mm`);
  put("Stars", measures.stars, String);
  put("Width of stars", measures.hfd_px, (px) => `${px.toFixed(2)} px (half of their light)`);
  put("Drawn out", measures.elongation, (e) => e.toFixed(2));
  put("Trails", measures.trail_px, (px) => `${px.toFixed(1)} px`);
  put("Sky", measures.sky_stops, (stops) => `${stops.toFixed(1)} stops from mid-grey`);
  put("Full pixels", measures.clipped_share, (part) => `${(100 * part).toFixed(2)} %`);
  put("Cloud", measures.cloud_fraction, (part) => `${share(part)} of the sky`);
  put("Aurora", measures.aurora_probability, (chance) => `probability ${chance.toFixed(2)}`);
  put("Brightest part", measures.aurora_brightest_kr, (kr) => `${kr.toPrecision(2)} kR`);
  put("Extent", measures.aurora_extent, (part) => `${share(part)} of the sky`);
  put("Passing light", measures.lamp_share, (part) => `${share(part)} of the frame`);
  put("Glare", measures.glare_share, (part) => `${share(part)} of the frame`);
  put("Score", frame.score, (score) => `${score.toFixed(2)} of 1`);
  put("Rating", frame.rating, (rating) => (rating < 0 ? "rejected" : `${rating} of 5`));
  return list;
}

export function passes(filter: Filter, frame: SortedFrame | undefined): boolean {
  if (!frame) return false;
  if (filter === "all") return true;
  if (filter === "yours") return frame.person !== null;
  if (filter === "keep" || filter === "spare" || filter === "dud" || filter === "undecided") {
    return frame.verdict === filter;
  }
  return frame.verdict === "dud" && frame.reasons.some((reason) => reason.kind === filter);
}

/** The filters that leave something, with how many frames each leaves. */
export function filters(report: SortReport): { filter: Filter; label: string; frames: number }[] {
  const yours = report.frames.filter((frame) => frame.person !== null).length;
  const list: { filter: Filter; label: string; frames: number }[] = [
    { filter: "all", label: "All", frames: report.frames_total },
    { filter: "keep", label: "Keep", frames: report.keepers },
    { filter: "spare", label: "Good", frames: report.spare },
    { filter: "dud", label: "Duds", frames: report.duds },
    { filter: "undecided", label: "Undecided", frames: report.undecided },
    { filter: "yours", label: "Yours", frames: yours },
  ];
  const byFault = report.reasons.map((reason) => ({
    filter: reason.kind,
    label: FAULTS[reason.kind],
    frames: reason.frames,
  }));
  return [...list.filter((row) => row.filter === "all" || row.frames > 0), ...byFault];
}
