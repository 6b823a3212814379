import { ask, get, type Palette, postForJson } from "./api";
import type { AccountReport, ClipRequest, StackRequest } from "./generated/job";

/** How an account is asked for. */
export type AccountAsked = { outing: string; place: string; minutes: string; order: readonly string[] };

/** Forms in which an account is saved. */
export type AccountForm = "json" | "text" | "html" | "csv";

/** Where an account is, in one of its forms. */
export function accountAddress(asked: AccountAsked, form: AccountForm): string {
  const query = new URLSearchParams({ outing: asked.outing, form });
  if (asked.place.trim() !== "") query.set("place", asked.place.trim());
  if (asked.minutes.trim() !== "") query.set("minutes", asked.minutes.trim().replace(",", "."));
  if (asked.order.length > 0) query.set("order", asked.order.join(","));
  return `/api/tell/account?${query.toString()}`;
}

/** The account of an outing. */
export const account = (asked: AccountAsked, signal: AbortSignal) =>
  get<AccountReport>(accountAddress(asked, "json"), signal);

/** What a still is to be. */
export type StillAsked = {
  shape: "16:9" | "9:16";
  lines: "1080" | "2160";
  overlay: boolean;
  guides: boolean;
  plain: boolean;
  place: string;
  precision: "hidden" | "degree" | "tenth";
  credit: string;
  kit: string | null;
  site: string | null;
  timeZone: string | null;
  /** Number of the outing whose reading names the forms. */
  formsOf: string | null;
};

/** A still to be looked at; its picture is a data address. */
export type StillPreview = {
  picture: string;
  size_px: [number, number];
  caption: string[];
  notes: string[];
  names: number;
};

/** Forms of a still's file. */
export type StillKind = "png" | "jpg" | "svg";

/** What of a still is asked alike, whatever is shown. */
function stillQuery(asked: StillAsked, more: Record<string, string>): URLSearchParams {
  const query = new URLSearchParams({
    shape: asked.shape,
    lines: asked.lines,
    overlay: String(asked.overlay),
    guides: String(asked.guides),
    precision: asked.precision,
    place: asked.place,
    credit: asked.credit,
    ...more,
  });
  if (asked.timeZone !== null) query.set("time_zone", asked.timeZone);
  return query;
}

function stillAnswer(file: File, asked: StillAsked, more: Record<string, string>, signal: AbortSignal) {
  const query = stillQuery(asked, { name: file.name, plain: String(asked.plain), ...more });
  if (asked.kit !== null) query.set("kit", asked.kit);
  if (asked.site !== null) query.set("site", asked.site);
  if (asked.formsOf !== null) query.set("outing", asked.formsOf);
  const headers = { "content-type": "application/octet-stream" };
  return ask(`/api/tell/still?${query.toString()}`, { method: "POST", signal, headers, body: file });
}

/** What is drawn of an outing. */
export type Sheet = { what: "keogram" | "map"; outing: string };

function sheetAnswer(sheet: Sheet, asked: StillAsked, more: Record<string, string>, signal: AbortSignal) {
  // times are those of the outing's own site
  const query = stillQuery({ ...asked, timeZone: null }, { ...sheet, ...more });
  return ask(`/api/tell/sheet?${query.toString()}`, { signal });
}

export async function sheetPreview(
  sheet: Sheet,
  asked: StillAsked,
  palette: Palette,
  signal: AbortSignal,
): Promise<StillPreview> {
  return (await (await sheetAnswer(sheet, asked, { palette }, signal)).json()) as StillPreview;
}

/** The drawing as a file; safe areas are never in it. */
export async function sheetFile(sheet: Sheet, asked: StillAsked, kind: StillKind, signal: AbortSignal): Promise<Blob> {
  return (await sheetAnswer(sheet, { ...asked, guides: false }, { file: kind }, signal)).blob();
}

export async function stillPreview(
  file: File,
  asked: StillAsked,
  palette: Palette,
  signal: AbortSignal,
): Promise<StillPreview> {
  return (await (await stillAnswer(file, asked, { palette }, signal)).json()) as StillPreview;
}

/** The still as a file; safe areas are for looking and never in it. */
export async function stillFile(file: File, asked: StillAsked, kind: StillKind, signal: AbortSignal): Promise<Blob> {
  return (await stillAnswer(file, { ...asked, guides: false }, { file: kind }, signal)).blob();
}

/** What is made of the frames of the sorted folder. */
export type MakingQuestion = { what: { clip: ClipRequest } | { stack: StackRequest }; keepers_only: boolean };

/** How far it is. */
export type MakingStanding = {
  phase: "making" | "done" | "stopped" | "failed";
  question: MakingQuestion;
  words: string;
  /** Frames through the step in work, and of how many. */
  frames: [number, number] | null;
  notes: string[];
  caption: string | null;
  problem: [string, string] | null;
};

/** Where what was made is. */
export const MADE = "/api/tell/making/file";

export const making = (signal: AbortSignal) => get<MakingStanding | null>("/api/tell/making", signal);

export const startMaking = (question: MakingQuestion, signal: AbortSignal) =>
  postForJson<MakingStanding>("/api/tell/making", question, signal);

/** Ends it; of a clip what is packed is kept. */
export const stopMaking = (signal: AbortSignal) => ask("/api/tell/making", { method: "DELETE", signal });

/** Listens until it has ended; returns how to stop listening. */
export function followMaking(each: (standing: MakingStanding) => void, lost: () => void): () => void {
  const source = new EventSource("/api/tell/making/progress");
  source.addEventListener("standing", (event: MessageEvent<string>) => {
    const standing = JSON.parse(event.data) as MakingStanding;
    if (standing.phase !== "making") source.close();
    each(standing);
  });
  source.addEventListener("error", () => {
    source.close();
    lost();
  });
  return () => source.close();
}

/** A frame of the sorted folder as a file. */
export async function frameFile(contentHash: string, name: string, signal: AbortSignal): Promise<File> {
  const answer = await ask(`/api/sort/frames/${encodeURIComponent(contentHash)}/file`, { signal });
  return new File([await answer.blob()], name);
}
