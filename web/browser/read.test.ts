import type { BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";

import type { ReadReport } from "../src/generated/job";
import { breaches, DESK, mostGreenOrBlue, PHONE, Running, shoot } from "./program";

/** Red alone fails the contrast rule of text in places by design. */
const RULES_FOR_LIT_PAGES = ["color-contrast"];
const FIRST = Date.parse("2026-03-14T20:00:00Z");
const MINUTE_MS = 60_000;
const COLUMNS = 60;

const at = (minute: number) => new Date(FIRST + minute * MINUTE_MS).toISOString();

/** A composed reading: an hour of light that climbs, an arc, then what cannot be told. */
const report = {
  request: { name: "a composed night" },
  unit: "share of full scale",
  calibration: null,
  keogram: {
    azimuth_deg: 8,
    column_s: 60,
    bins: [-20, 0, 20].map((zenith_angle_deg) => ({ zenith_angle_deg })),
    columns: Array.from({ length: COLUMNS }, (_, minute) => ({ at: at(minute), frames: 6, values: [1, minute, 2] })),
    borders: [{ at: at(0), zenith_angle_deg: [-20, 5], magnetic_latitude_deg: [66.1, 67.2], open: [true, false] }],
  },
  forms: [
    {
      from: at(0),
      to: at(20),
      frames: 20,
      name: "arc",
      code: "H A c",
      confidence: 0.7,
      reasons: ["400 km long and 30 km wide"],
      shape: null,
    },
    {
      from: at(30),
      to: at(50),
      frames: 20,
      name: null,
      code: null,
      confidence: 0,
      reasons: ["no shape that stands for one form"],
      shape: null,
    },
  ],
  magnetic: null,
  account: [
    { words: "60 frames", basis: "times of the files" },
    { words: "aurora in 60 of 60 frames looked at", basis: "colour and structure of single frames" },
  ],
  limits: ["pulsation (0.5 Hz) is too fast for the frame rate"],
} as unknown as ReadReport;

const keogram = (dark: boolean) =>
  `<svg xmlns="http://www.w3.org/2000/svg" width="960" height="420" data-from="${at(-0.5)}" data-to="${at(59.5)}"
  data-plot-left="56" data-plot-right="940"><title>Light along the line</title><rect width="960" height="420" fill="${dark ? "#400000" : "#cccccc"}"/></svg>`;

let running: Running;

beforeAll(async () => {
  running = await Running.start();
});
afterAll(async () => running.stop());

async function readPage(context: BrowserContext): Promise<Page> {
  const page = await context.newPage();
  const row = { id: 7, outing: 1, name: "a composed night", read_at: at(90), frames: 60, skipped: 0 };
  await page.route("**/api/readings", (route) => route.fulfill({ json: [row] }));
  await page.route("**/api/readings/7", (route) => route.fulfill({ json: report }));
  await page.route("**/api/readings/7/keogram*", (route) =>
    route.fulfill({ contentType: "image/svg+xml", body: keogram(route.request().url().includes("dark_eyes")) }),
  );
  await page.goto(`${running.url}#/read`);
  await page.getByTestId("time").waitFor();
  return page;
}

describe("the page of what was read", () => {
  it("moves through time by key and by the picture, and names forms with their evidence", async () => {
    const context = await running.context(DESK);
    const page = await readPage(context);
    const moment = () => page.getByTestId("moment").innerText();
    expect(await page.locator("h2.verdict").innerText()).toMatch(/aurora in 60 of 60 frames/i);
    expect(await moment()).toContain("magnetic latitude 67.2");
    await page.getByTestId("time").press("End");
    expect(await moment()).toContain("20:59");
    await page.locator(".drawn").click({ position: { x: 10, y: 20 } });
    expect(await moment()).toContain("20:00");
    await page.getByRole("button", { name: "cannot tell" }).click();
    expect(await page.getByTestId("evidence").innerText()).toContain("no shape that stands for one form");
    expect(await breaches(page)).toEqual([]);
    await shoot(page, "read-desk");
    await context.close();
  });

  it("stays red in dark eyes on a phone", async () => {
    const context = await running.context(PHONE);
    const page = await readPage(context);
    await page.evaluate(() => localStorage.setItem("quietarc.palette", "dark_eyes"));
    await page.reload();
    await page.getByTestId("time").waitFor();
    expect(await mostGreenOrBlue(context, await shoot(page, "read-phone-dark", true))).toBe(0);
    expect(await breaches(page, RULES_FOR_LIT_PAGES)).toEqual([]);
    await context.close();
  });
});
