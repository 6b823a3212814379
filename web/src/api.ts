// All talk with the program goes through this file.

import type {
  AlmanacReport,
  AlmanacRequest,
  CheckReport,
  Conditions,
  ConditionsRequest,
  ExposeReport,
  ExposeRequest,
  Kit,
  OutlookReport,
  OutlookRequest,
  PersonVerdict,
  ReasonCount,
  SamePlace,
  Site,
  SkymapRequest,
  SortedFrame,
  SortReport,
  StandReport,
  StandRequest,
  Starters,
  TellEyeReport,
} from "./generated/job";

/** One row of the list of outings. */
export type OutingRow = {
  id: number | string;
  title: string;
  site_name: string;
  night: string;
  invented: boolean;
  has_prediction: boolean;
};

/** One outing with what was asked and answered for it. */
export type Outing = {
  id: number | string;
  title: string;
  invented: boolean;
  request: OutlookRequest | null;
  report: OutlookReport | null;
};

/** What frames said of an outing, in one line. */
export type ReadingRow = {
  id: number;
  outing: number;
  name: string;
  read_at: string;
  first_at: string | null;
  last_at: string | null;
  frames: number;
  skipped: number;
};

/** How one address of a feed stands. */
export type FeedLine = {
  feed: string;
  is_on: boolean;
  state: "fresh" | "ageing" | "stale" | "unchecked" | "ahead_of_clock" | "blocked" | "retired" | "never";
  newest_sample_at: string | null;
  newest_sample_age_s: number | null;
  problem: string | null;
  remedy: string | null;
  stored: { url: string } | null;
};

/** What came of asking one feed. */
export type PullLine = {
  feed: string;
  outcome: "new" | "unchanged" | "not_yet" | "skipped" | "failed";
  place: string | null;
  problem: string | null;
  hint: string | null;
};

/** A place of a file that was not stored. */
export type NotStored = { place: string; reason: string; remedy: string };

/** What became of a file of places. */
export type ImportReport = {
  file: string;
  added: string[];
  already_there: string[];
  failed: NotStored[];
  remarks: string[];
};

/** Palettes of the drawings. */
export type Palette = "desk" | "dark_eyes" | "print";

/** What went wrong, in the program's own words, and what to do about it. */
export class ApiError extends Error {
  constructor(
    message: string,
    readonly hint: string,
    readonly field: string | null = null,
    readonly status: number = 0,
  ) {
    super(message);
    this.name = "ApiError";
  }
}

/** Whether a failure only means that nobody waits for the answer any more. */
export function wasAborted(failure: unknown): boolean {
  return failure instanceof DOMException && failure.name === "AbortError";
}

/** Any failure as something that can be shown. */
export function asApiError(failure: unknown): ApiError {
  if (failure instanceof ApiError) return failure;
  const message = failure instanceof Error ? failure.message : String(failure);
  return new ApiError(message, "reload the page; if it stays, look at the terminal in which quietarc runs");
}

async function refusal(response: Response): Promise<ApiError> {
  const fallback = `the program answered ${response.status} ${response.statusText}`.trim();
  try {
    const body: unknown = await response.json();
    if (typeof body === "object" && body !== null && "error" in body && typeof body.error === "string") {
      const hint = "hint" in body && typeof body.hint === "string" ? body.hint : "";
      const field = "field" in body && typeof body.field === "string" ? body.field : null;
      return new ApiError(body.error, hint, field, response.status);
    }
  } catch {
    // not JSON: the status line is all there is to say
  }
  return new ApiError(fallback, "look at the terminal in which quietarc runs", null, response.status);
}

/** A request of any kind; a refusal becomes an ApiError. For the other files of requests only. */
export async function ask(path: string, init: RequestInit): Promise<Response> {
  let response: Response;
  try {
    response = await fetch(path, init);
  } catch (failure) {
    if (wasAborted(failure)) throw failure;
    throw new ApiError(
      "the program does not answer",
      "is quietarc still running in its terminal? start it again and reload",
    );
  }
  if (!response.ok) throw await refusal(response);
  return response;
}

export async function get<Answer>(path: string, signal: AbortSignal): Promise<Answer> {
  const response = await ask(path, { signal, headers: { accept: "application/json" } });
  return (await response.json()) as Answer;
}

function post(path: string, body: unknown, signal: AbortSignal): Promise<Response> {
  return send("POST", path, body, signal);
}

export function send(
  method: "POST" | "PUT" | "DELETE",
  path: string,
  body: unknown,
  signal: AbortSignal,
): Promise<Response> {
  return ask(path, {
    method,
    signal,
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
  });
}

export async function postForJson<Answer>(path: string, body: unknown, signal: AbortSignal): Promise<Answer> {
  return (await (await post(path, body, signal)).json()) as Answer;
}

async function postForText(path: string, body: unknown, signal: AbortSignal): Promise<string> {
  return (await post(path, body, signal)).text();
}

export const outings = (signal: AbortSignal) => get<OutingRow[]>("/api/outings", signal);

export const outing = (id: string, signal: AbortSignal) =>
  get<Outing>(`/api/outings/${encodeURIComponent(id)}`, signal);

/** What is kept of sequences that were read, the last first. */
export const readings = (signal: AbortSignal) => get<ReadingRow[]>("/api/readings", signal);

export const sites = (signal: AbortSignal) => get<Site[]>("/api/sites", signal);

export const kits = (signal: AbortSignal) => get<Kit[]>("/api/kits", signal);

/** What the stored feeds say of a night. */
export const conditions = (request: ConditionsRequest, signal: AbortSignal) =>
  postForJson<Conditions>("/api/conditions", request, signal);

/** How every feed stands. */
export const feeds = (signal: AbortSignal) => get<{ asked_at: string; feeds: FeedLine[] }>("/api/feeds", signal);

/** Asks the publishers; weather for the sites named. */
export const pullFeeds = (sites: string[], signal: AbortSignal) =>
  postForJson<{ failed: number; feeds: PullLine[] }>("/api/feeds/pull", { sites }, signal);

/** Keeps a new site, or changes the one of that name. */
export const keepSite = async (site: Site, replacing: string | null, signal: AbortSignal): Promise<Site> => {
  const answer =
    replacing === null
      ? await post("/api/sites", site, signal)
      : await send("PUT", "/api/sites", { name: replacing, site }, signal);
  return (await answer.json()) as Site;
};

export const removeSite = (name: string, signal: AbortSignal) => send("DELETE", "/api/sites", { name }, signal);

/** Keeps the places of a file, given as text. */
export const importSites = (body: { file_name: string; text: string; time_zone: string }, signal: AbortSignal) =>
  postForJson<ImportReport>("/api/sites/import", body, signal);

/** Keeps a new kit, or changes the one of that name. */
export const keepKit = async (kit: Kit, replacing: string | null, signal: AbortSignal): Promise<Kit> => {
  const answer =
    replacing === null
      ? await post("/api/kits", kit, signal)
      : await send("PUT", "/api/kits", { name: replacing, kit }, signal);
  return (await answer.json()) as Kit;
};

export const removeKit = (name: string, signal: AbortSignal) => send("DELETE", "/api/kits", { name }, signal);

export const starters = (signal: AbortSignal) => get<Starters>("/api/starters", signal);

export const outlook = (request: OutlookRequest, signal: AbortSignal) =>
  postForJson<OutlookReport>("/api/outlook", request, signal);

export const expose = (request: ExposeRequest, signal: AbortSignal) =>
  postForJson<ExposeReport>("/api/expose", request, signal);

/** A frame looked at: what is wrong with it, and the frame in small with what was found, as SVG text. */
export type CheckedPicture = { report: CheckReport; drawing: string | null };

/** What is wrong with a frame; its bytes go to the program and nowhere else. */
export async function check(
  file: File,
  kit: string | null,
  palette: Palette,
  signal: AbortSignal,
): Promise<CheckedPicture> {
  const query = new URLSearchParams({ name: file.name, palette });
  if (kit !== null) query.set("kit", kit);
  const headers = { "content-type": "application/octet-stream" };
  const answer = await ask(`/api/check/drawn?${query.toString()}`, { method: "POST", signal, headers, body: file });
  return (await answer.json()) as CheckedPicture;
}

/** A frame as a person saw it: numbers, both views as addresses of pictures, and both side by side as SVG text. */
export type ToldEye = {
  report: TellEyeReport;
  size_px: [number, number] | null;
  camera: string | null;
  eye: string | null;
  eye_file: string | null;
  beside: string | null;
};

/** What an eye saw of a frame; its bytes go to the program and nowhere else. */
export async function tellEye(
  file: File,
  asked: { kit: string | null; minutes: number; fieldFactor: number; palette: Palette },
  signal: AbortSignal,
): Promise<ToldEye> {
  const query = new URLSearchParams({
    name: file.name,
    minutes: String(asked.minutes),
    field_factor: String(asked.fieldFactor),
    palette: asked.palette,
  });
  if (asked.kit !== null) query.set("kit", asked.kit);
  const headers = { "content-type": "application/octet-stream" };
  const answer = await ask(`/api/tell/eye?${query.toString()}`, { method: "POST", signal, headers, body: file });
  return (await answer.json()) as ToldEye;
}

/** The sharpest and the softest part of a frame side by side, as PNG, for files that a browser cannot open. */
export async function checkedParts(
  file: File,
  kit: string | null,
  palette: Palette,
  signal: AbortSignal,
): Promise<Blob> {
  const query = new URLSearchParams({ name: file.name, palette });
  if (kit !== null) query.set("kit", kit);
  const headers = { "content-type": "application/octet-stream" };
  const answer = await ask(`/api/check/parts?${query.toString()}`, { method: "POST", signal, headers, body: file });
  return answer.blob();
}

/** The rendered frame of the demo, to try the page with. */
export async function exampleFrame(signal: AbortSignal): Promise<File> {
  const answer = await ask("/api/check/example", { signal });
  return new File([await answer.blob()], "demo_frame.composed.jpg (invented)", { type: "image/jpeg" });
}

export const almanac = (request: AlmanacRequest, signal: AbortSignal) =>
  postForJson<AlmanacReport>("/api/almanac", request, signal);

export const stand = (request: StandRequest, signal: AbortSignal) =>
  postForJson<StandReport>("/api/stand", request, signal);

/** The view through the lens as SVG text. */
export const lens = (
  body: { request: StandRequest; width_px: number; height_px: number; palette: Palette },
  signal: AbortSignal,
) => postForText("/api/draw/lens", body, signal);

/** The skyline of a site as SVG text. */
export const horizon = (
  body: { site: Site; width_px: number; height_px: number; palette: Palette },
  signal: AbortSignal,
) => postForText("/api/draw/horizon", body, signal);

/** The night strip as SVG text. */
export const strip = (
  body: { request: OutlookRequest; width_px: number; height_px: number; palette: Palette },
  signal: AbortSignal,
) => postForText("/api/draw/strip", body, signal);

/** The sites of an outlook compared, as SVG text. */
export const compare = (body: { request: OutlookRequest; width_px: number; palette: Palette }, signal: AbortSignal) =>
  postForText("/api/draw/compare", body, signal);

/** The sky bowl as SVG text. */
export const bowl = (body: { request: SkymapRequest; size_px: number; palette: Palette }, signal: AbortSignal) =>
  postForText("/api/draw/bowl", body, signal);

/** The simulated patch of one setting as SVG text. */
export const exposePatch = (
  body: { request: ExposeRequest; setting: number; width_px: number; palette: Palette },
  signal: AbortSignal,
) => postForText("/api/draw/expose", body, signal);

/** What an outlook can be taken along as. */
export type DocumentKind = "card" | "calendar" | "gpx" | "geojson";

/** An outlook as a document, under the name the program gives it. */
export async function exported(kind: DocumentKind, request: OutlookRequest, signal: AbortSignal): Promise<File> {
  const response = await post(`/api/export/${kind}`, request, signal);
  const name = /filename="([^"]+)"/.exec(response.headers.get("content-disposition") ?? "")?.[1];
  const content = await response.blob();
  return new File([content], name ?? `quietarc.${kind}`, { type: content.type });
}

/** What is asked about a folder of frames. */
export type NightQuestion = {
  folder: string;
  site: string | null;
  kit: string | null;
  time_zone: string | null;
  clock: string[];
  keep: number | null;
  /** Raw pictures are measured themselves, rather than the pictures inside or beside them. */
  full_raw: boolean;
};

/** Something that went wrong with one file. */
export type FaultLine = { name: string; problem: string; remedy: string };

/** How a sort stands. */
export type SortStanding = {
  phase: "measuring" | "done" | "failed";
  words: string;
  measured: number;
  to_measure: number;
  known: number;
  left_s: number | null;
  stopped: boolean;
  failed: number;
  faults: FaultLine[];
  problem: FaultLine | null;
};

/** A frame that can be shown before it is judged. */
export type ArrivedFrame = { name: string; content_hash: string };

/** What is sorted on the program's machine. */
export type NightPage = {
  question: NightQuestion | null;
  folder: string | null;
  standing: SortStanding | null;
  offered: string[];
  any_folder: boolean;
};

/** What a verdict changed. */
export type Said = Pick<SortReport, "summary" | "keepers" | "duds" | "spare" | "undecided" | "best" | "notes"> & {
  reasons: ReasonCount[];
  changed: { index: number; frame: SortedFrame }[];
};

export const night = (signal: AbortSignal) => get<NightPage>("/api/sort", signal);

/** Starts a sort; what was measured before is not measured again. */
export const startSort = (question: NightQuestion, signal: AbortSignal) =>
  postForJson<NightPage>("/api/sort", question, signal);

/** Ends the measuring; what was measured is kept. */
export const stopSort = (signal: AbortSignal) => ask("/api/sort", { method: "DELETE", signal });

export const nightReport = (signal: AbortSignal) =>
  get<{ folder: string; report: SortReport; faults: FaultLine[] }>("/api/sort/report", signal);

/** Listens to a sort until it is done; returns how to stop listening. */
export function followSort(
  each: (standing: SortStanding & { arrived: ArrivedFrame[] }) => void,
  lost: () => void,
): () => void {
  const source = new EventSource("/api/sort/progress");
  source.addEventListener("standing", (event: MessageEvent<string>) => {
    const standing = JSON.parse(event.data) as SortStanding & { arrived: ArrivedFrame[] };
    if (standing.phase !== "measuring") source.close();
    each(standing);
  });
  source.addEventListener("error", () => {
    // closed by the other side before its last word: what was told would be told again
    source.close();
    lost();
  });
  return () => source.close();
}

/** Keeps what a person says about a frame; null takes it back. */
export const sayOfFrame = (content_hash: string, verdict: PersonVerdict | null, signal: AbortSignal) =>
  postForJson<Said>("/api/sort/verdict", { content_hash, verdict }, signal);

/** Writes ratings beside the pictures; a person's own stay. */
export const writeRatings = (signal: AbortSignal) =>
  postForJson<{ words: string; left: string[]; faults: FaultLine[] }>("/api/sort/ratings", {}, signal);

/** Where a small picture of a frame is. */
export const smallFrame = (content_hash: string, palette: Palette) =>
  `/api/sort/frames/${encodeURIComponent(content_hash)}/small?palette=${palette}`;

/** A part of a frame pixel for pixel, as the address of a picture in memory and the place of its first pixel. */
export async function partOfFrame(
  content_hash: string,
  middle: [number, number],
  size: [number, number],
  palette: Palette,
  signal: AbortSignal,
): Promise<{ url: string; left: number; top: number }> {
  const query = new URLSearchParams({
    x: String(middle[0]),
    y: String(middle[1]),
    width: String(size[0]),
    height: String(size[1]),
    palette,
  });
  const path = `/api/sort/frames/${encodeURIComponent(content_hash)}/part?${query.toString()}`;
  const answer = await ask(path, { signal });
  const place = (name: string) => Number(answer.headers.get(name) ?? 0);
  return {
    url: URL.createObjectURL(await answer.blob()),
    left: place("quietarc-left"),
    top: place("quietarc-top"),
  };
}

/** Two frames held on one star near a place of the first. */
export type Pair = SamePlace & { first_size_px: [number, number]; second_size_px: [number, number] };

export const samePlace = (first: string, second: string, near: [number, number] | null, signal: AbortSignal) => {
  const query = new URLSearchParams({ first, second });
  if (near !== null) {
    query.set("x", String(near[0]));
    query.set("y", String(near[1]));
  }
  return get<Pair>(`/api/sort/same-place?${query.toString()}`, signal);
};
