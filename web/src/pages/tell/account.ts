import type { AccountNumber, AccountSentence } from "../../generated/job";

/** A stretch of a sentence: words, or a number with its source. */
export type Part = { text: string; number: AccountNumber | null };

/** A sentence cut at its numbers, which stand in it in their order. */
export function parts(sentence: AccountSentence): Part[] {
  const found: Part[] = [];
  let rest = sentence.text;
  for (const number of sentence.numbers) {
    const at = rest.indexOf(number.words);
    if (at < 0) continue;
    if (at > 0) found.push({ text: rest.slice(0, at), number: null });
    found.push({ text: number.words, number });
    rest = rest.slice(at + number.words.length);
  }
  if (rest !== "") found.push({ text: rest, number: null });
  return found;
}

/** Who says a number, when, and how exactly. */
export function sourceWords(number: AccountNumber): string {
  const value = number.value === null ? "" : `${String(number.value)} ${number.unit}`.trim();
  const at = number.at === null ? "" : number.at;
  return [value, number.source, at].filter((words) => words !== "").join(" · ");
}

/** One of a list moved by some places, within the list's ends. */
export function moved(ids: readonly string[], id: string, by: number): string[] {
  const from = ids.indexOf(id);
  const to = [...ids];
  if (from < 0) return to;
  to.splice(from, 1);
  to.splice(Math.min(Math.max(0, from + by), to.length), 0, id);
  return to;
}

/** "1:05" for 65 s. */
export function runningTime(seconds: number): string {
  const whole = Math.round(seconds);
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}
