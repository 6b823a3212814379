// What the desk asks the program; the rest is in api.ts.

import { ask, get, postForJson, send } from "./api";

export const STATES = ["received", "measured", "checked", "held", "cleared", "used", "withdrawn"] as const;
export type State = (typeof STATES)[number];
export type Outcome = "consistent" | "inconsistent" | "cannot_tell";
export type Uses = { on_air: boolean; online: boolean; archive: boolean };
export type Use = keyof Uses;

/** A line of the list. */
export type Row = {
  id: number;
  content_hash: string;
  file_name: string;
  received_at: string;
  state: State;
  claimed_at: string | null;
  time_text: string;
  place_text: string;
  credit_name: string;
  problem: string | null;
  outcome: Outcome | null;
  form: string | null;
  uses: Uses | null;
  rundown_place: number | null;
  is_repeated: boolean;
  has_copy: boolean;
  version: number;
};

/** A submission on the map and in time; its place is rounded. */
export type Point = {
  id: number;
  state: State;
  outcome: Outcome | null;
  claimed_at: string | null;
  latitude_deg: number | null;
  longitude_deg: number | null;
};

export type Claim = {
  time_text: string;
  at: string | null;
  place_text: string;
  position: { latitude_deg: number; longitude_deg: number } | null;
};

/** What a person may write. */
export type Fields = { claim: Claim; credit_name: string; contact: string; caption: string; notes: string };

/** One check against the claim. */
export type Evidence = {
  kind: string;
  verdict: Outcome;
  sentence: string;
  evidence?: { name: string; text: string }[];
  basis?: string;
};

/** A picture that another one looks like, as that other one would tell it. */
export type Alike = {
  of: { submission: number } | { frame: { name: string; outing: number | null } };
  likeness: { kind: "same" | "crop" | "mirrored" | "other_frame" | "different" | "cannot_tell"; sentence: string };
};

export type ExportMade = {
  exported_at: string;
  exported_by: string;
  permitted_use: Use;
  destination: string;
  credit: string;
};

/** A submission with all that hangs on it. */
export type Whole = Fields & {
  id: number;
  content_hash: string;
  file_name: string;
  media_type: string;
  bytes: number;
  received_at: string;
  state: State;
  problem: string | null;
  size_px: [number, number] | null;
  measures: { summary?: string } | null;
  evidence: { summary?: string; checks?: Evidence[] } | null;
  outcome: Outcome | null;
  form: string | null;
  consent: { uses: Uses; recorded_at: string; recorded_by: string; words: string } | null;
  withdrawn_at: string | null;
  withdrawn_words: string | null;
  rundown_place: number | null;
  version: number;
  exports: ExportMade[];
  same_content: number[];
  changes: { version: number; changed_at: string; changed_by: string; what: string }[];
  alike: Alike[];
  is_place_coarse: boolean;
};

export type Link = {
  id: number;
  label: string;
  time_zone: string;
  expires_at: string;
  revoked_at: string | null;
  most_pictures: number;
  taken: number;
};

export type Question = {
  state: State | null;
  outcome: Outcome | null;
  form: string | null;
  /** Said to be taken from then on, and before then: instants as a journal writes them. */
  claimed_from: string | null;
  claimed_to: string | null;
  /** Around the place of this submission. */
  near: number | null;
  within_km: number | null;
  text: string;
  from: number;
};

export const EVERYTHING: Question = {
  state: null,
  outcome: null,
  form: null,
  claimed_from: null,
  claimed_to: null,
  near: null,
  within_km: null,
  text: "",
  from: 0,
};
export type ExportDone = {
  folder: string;
  exported: { id: number; file: string }[];
  refused: { id: number; error: string; hint: string }[];
};

const one = (id: number) => `/api/desk/submissions/${id}`;

export const board = (signal: AbortSignal) =>
  get<{ counts: [State, number][]; rundown: Row[]; forms: [string, number][] }>("/api/desk", signal);

/** What is asked for, as an address writes it. */
export function query(question: Partial<Question>): string {
  const asked = Object.entries(question).filter(([, value]) => value !== null && value !== "");
  return new URLSearchParams(asked.map(([name, value]) => [name, String(value)])).toString();
}

export const points = (question: Question, signal: AbortSignal) =>
  get<Point[]>(`/api/desk/points?${query({ ...question, from: 0 })}`, signal);

/** Lines of the list at once. */
export const ROWS = 100;

export function list(question: Question, signal: AbortSignal): Promise<{ total: number; rows: Row[] }> {
  return get(`/api/desk/submissions?${query(question)}&most=${ROWS}`, signal);
}

export const whole = (id: number, exact: boolean, signal: AbortSignal) =>
  get<Whole>(`${one(id)}?exact=${exact}`, signal);

export const smallOf = (id: number) => `${one(id)}/small`;
export const viewOf = (id: number) => `${one(id)}/view`;

/** Writes the fields, if nobody has changed them since this version. */
export const edit = async (
  id: number,
  body: { version: number; by: string; fields: Fields; keeps_position: boolean },
  signal: AbortSignal,
): Promise<Whole> => (await (await send("PUT", one(id), body, signal)).json()) as Whole;

export const setState = (id: number, body: { version: number; by: string; state: State }, signal: AbortSignal) =>
  postForJson<Whole>(`${one(id)}/state`, body, signal);

export const permit = (
  id: number,
  body: { version: number; by: string; words: string; uses: Uses },
  signal: AbortSignal,
) => postForJson<Whole>(`${one(id)}/consent`, body, signal);

export const withdraw = (id: number, body: { by: string; words: string; erase: boolean }, signal: AbortSignal) =>
  postForJson<Whole>(`${one(id)}/withdraw`, body, signal);

export const setRundown = async (
  body: { seen: number[]; to: number[]; by: string },
  signal: AbortSignal,
): Promise<Row[]> => (await (await send("PUT", "/api/desk/rundown", body, signal)).json()) as Row[];

export const letOut = (
  body: { ids: number[]; permitted_use: Use; place: "nothing" | "words" | "degrees"; by: string },
  signal: AbortSignal,
) => postForJson<ExportDone>("/api/desk/export", body, signal);

export const links = (signal: AbortSignal) => get<Link[]>("/api/desk/links", signal);

export const newLink = (
  body: { label: string; time_zone: string; days: number; most_pictures: number },
  signal: AbortSignal,
) => postForJson<{ id: number; path: string; expires_at: string }>("/api/desk/links", body, signal);

export const revokeLink = (id: number, signal: AbortSignal) =>
  ask(`/api/desk/links/${id}`, { method: "DELETE", signal });

/** A picture dropped on the board. */
export async function dropIn(file: File, signal: AbortSignal): Promise<{ id: number; was_here: boolean }> {
  const body = new FormData();
  body.set("picture", file);
  const answer = await ask("/api/desk/submissions", { method: "POST", signal, body });
  return (await answer.json()) as { id: number; was_here: boolean };
}

/** Hears of every change of what is here; returns how to stop listening. */
export function follow(each: () => void): () => void {
  const source = new EventSource("/api/desk/arrivals");
  source.addEventListener("changed", each);
  return () => source.close();
}
