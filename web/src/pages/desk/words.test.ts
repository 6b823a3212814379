import { expect, test } from "vitest";

import { checkWords, claimedWhen, permitted } from "./words";

test("no permission and a refusal are different things", () => {
  expect(permitted(null)).toBe("no permission recorded");
  expect(permitted({ on_air: false, online: false, archive: false })).toBe("refused");
  expect(permitted({ on_air: true, online: false, archive: true })).toBe("on air, archive");
});

test("a time that is no instant is told in its sender's words", () => {
  expect(claimedWhen({ claimed_at: null, time_text: "around midnight" })).toBe("around midnight");
  expect(claimedWhen({ claimed_at: "2026-03-14T22:40:00Z", time_text: "x" })).toBe("2026-03-14 22:40 UTC");
  expect(claimedWhen({ claimed_at: null, time_text: "" })).toBe("no time given");
});

test("a check of a newer program still has a name", () => {
  expect(checkWords("file_time")).toBe("time in the file");
  expect(checkWords("lens_scale")).toBe("lens scale");
});
