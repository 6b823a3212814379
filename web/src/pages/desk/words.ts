import type { Outcome, Row, State, Use, Uses } from "../../desk";

export const STATE_WORDS: Record<State, string> = {
  received: "waits to be opened",
  measured: "opened",
  checked: "checked",
  held: "held",
  cleared: "cleared",
  used: "used",
  withdrawn: "withdrawn",
};

export const OUTCOME_WORDS: Record<Outcome, string> = {
  consistent: "consistent",
  inconsistent: "inconsistent",
  cannot_tell: "cannot tell",
};

/** A form of its own for each outcome: colour says nothing that the form does not. */
export const OUTCOME_SIGNS: Record<Outcome, string> = { consistent: "=", inconsistent: "≠", cannot_tell: "?" };

export const USE_WORDS: Record<Use, string> = { on_air: "on air", online: "online", archive: "archive" };
export const USES: readonly Use[] = ["on_air", "online", "archive"];

const CHECK_WORDS: Record<string, string> = {
  file_time: "time in the file",
  file_place: "place in the file",
  sun: "sun and twilight",
  moon: "moon",
  stars: "stars",
  planets: "planets",
  aurora: "aurora there and then",
  copies: "copies",
  editing: "editing",
};

export const checkWords = (kind: string): string => CHECK_WORDS[kind] ?? kind.replaceAll("_", " ");

/** What is permitted, in a few words. */
export function permitted(uses: Uses | null): string {
  if (uses === null) return "no permission recorded";
  const given = USES.filter((use) => uses[use]).map((use) => USE_WORDS[use]);
  return given.length > 0 ? given.join(", ") : "refused";
}

/** An instant in a short form, UTC. */
export const utc = (at: string): string => `${at.slice(0, 10)} ${at.slice(11, 16)} UTC`;

/** When a picture is said to be taken. */
export const claimedWhen = (row: Pick<Row, "claimed_at" | "time_text">): string =>
  row.claimed_at ? utc(row.claimed_at) : row.time_text || "no time given";
