// What the page Read asks of the program.

import { ask, type FaultLine, get, type Palette, postForJson } from "./api";
import type { ReadBeside, ReadReport, ReadSpace } from "./generated/job";

/** What is asked about a folder. */
export type ReadQuestion = {
  folder: string;
  outing: number | null;
  keep: boolean;
  site: string | null;
  kit: string | null;
  utc_offset_h: number | null;
  height_km: number | null;
  height_sigma_km: number | null;
  magnetogram: string | null;
  all_sky: boolean;
};

/** How a reading stands. */
export type ReadStanding = {
  phase: "reading" | "done" | "failed";
  words: string;
  done: number;
  of: number;
  left_s: number | null;
  stopped: boolean;
  kept: number | null;
  problem: FaultLine | null;
};

/** What is read on the program's machine. */
export type ReadPage = {
  question: ReadQuestion | null;
  standing: ReadStanding | null;
  offered: string[];
  any_folder: boolean;
  may_start: boolean;
};

/** A reading with what stands beside it. */
export type ReadWhole = {
  report: ReadReport;
  beside: ReadBeside;
  space: ReadSpace;
};

/** A frame of a reading; `key` is its picture's word in the address. */
export type FrameRow = { at: string; name: string; key: string };
export type FrameRows = { frames: FrameRow[]; problem: string | null; remedy: string | null };

/** The reading that is not, or not only, in the journal; or the number of one that is. */
export type Which = "current" | number;

export const readPage = (signal: AbortSignal) => get<ReadPage>("/api/read", signal);

export const startRead = (question: ReadQuestion, signal: AbortSignal) =>
  postForJson<ReadPage>("/api/read", question, signal);

/** Ends a reading; what was read is reported. */
export const stopRead = (signal: AbortSignal) => ask("/api/read", { method: "DELETE", signal });

export const keepRead = (outing: number, signal: AbortSignal) =>
  postForJson<ReadPage>("/api/read/keep", { outing }, signal);

export const readWhole = (which: Which, signal: AbortSignal) => get<ReadWhole>(`/api/read/of/${which}`, signal);

export const readFrames = (which: Which, signal: AbortSignal) => get<FrameRows>(`/api/read/of/${which}/frames`, signal);

/** Where a frame's picture is. */
export const frameOf = (which: Which, key: string, palette: Palette) =>
  `/api/read/of/${which}/frames/${encodeURIComponent(key)}/small?palette=${palette}`;

/** Where a table or drawing of a reading is. */
export const fileOf = (which: Which, name: string) => `/api/read/of/${which}/file/${name}`;

/** Listens to a reading until it is done; returns how to stop listening. */
export function followRead(each: (standing: ReadStanding) => void, lost: () => void): () => void {
  const source = new EventSource("/api/read/progress");
  source.addEventListener("standing", (event: MessageEvent<string>) => {
    const standing = JSON.parse(event.data) as ReadStanding;
    if (standing.phase !== "reading") source.close();
    each(standing);
  });
  source.addEventListener("error", () => {
    source.close();
    lost();
  });
  return () => source.close();
}
