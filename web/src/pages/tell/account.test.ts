import { describe, expect, it } from "vitest";

import type { AccountSentence } from "../../generated/job";
import { moved, parts, runningTime } from "./account";

const number = (words: string) => ({ words, value: 12, range: null, unit: "kR", source: "a frame", at: null });

describe("an account", () => {
  it("is cut at its numbers, also where one stands twice, and loses no letter", () => {
    const sentence: AccountSentence = {
      id: "a",
      text: "At 12 it was 12 kR.",
      numbers: [number("12"), number("12")],
    };
    const cut = parts(sentence);
    expect(cut.map((part) => part.text).join("")).toBe(sentence.text);
    expect(cut.map((part) => part.number !== null)).toEqual([false, true, false, true, false]);
  });

  it("moves a card within the ends of its list", () => {
    expect(moved(["a", "b", "c"], "c", -1)).toEqual(["a", "c", "b"]);
    expect(moved(["a", "b", "c"], "a", -1)).toEqual(["a", "b", "c"]);
    expect(moved(["a", "b", "c"], "a", 5)).toEqual(["b", "c", "a"]);
    expect(moved(["a"], "x", 1)).toEqual(["a"]);
  });

  it("says times as a running order does", () => {
    expect(runningTime(65.4)).toBe("1:05");
    expect(runningTime(59.6)).toBe("1:00");
  });
});
