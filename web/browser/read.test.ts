import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";

import type { BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";

import { breaches, DESK, mostGreenOrBlue, PHONE, Running, shoot } from "./program";

/** Red alone fails the contrast rule of text in places by design. */
const RULES_FOR_LIT_PAGES = ["color-contrast"];
/** An arc over a shore, drawn from the physics: its stars tell the lens, its file the place. */
const FRAME = resolve(import.meta.dirname, "../../crates/quietarc/data/demo_frame.composed.jpg");
const TAKEN = "2026:11:10 21:30:00";
const FRAMES = 12;
const MINUTE_MS = 60_000;
/** The camera's clock is an hour ahead of UTC. */
const FIRST = Date.parse("2026-11-10T20:30:00Z");

let running: Running;
let folder: string;
let night: string;

/** The same frame again, as taken later: the times in the file are text of one length. */
function later(picture: Buffer, minutes: number): Buffer {
  const text = picture.toString("latin1");
  const at = new Date(Date.parse("2026-11-10T21:30:00Z") + minutes * MINUTE_MS).toISOString();
  const stamp = `${at.slice(0, 10).replaceAll("-", ":")} ${at.slice(11, 19)}`;
  return Buffer.from(text.replaceAll(TAKEN, stamp), "latin1");
}

/** An invented station in the form IAGA-2002: quiet, then a fall of 600 nT from minute 4 of the frames on. */
function magnetogram(): string {
  const head = [
    ["Format", "IAGA-2002"],
    ["Source of Data", "invented for a test"],
    ["Station Name", "Skerrow Bay (invented)"],
    ["IAGA CODE", "SKB"],
    ["Geodetic Latitude", "69.200"],
    ["Geodetic Longitude", "15.400"],
    ["Elevation", "12"],
    ["Reported", "XYZF"],
    ["Sensor Orientation", "XYZF"],
    ["Digital Sampling", "1 second"],
    ["Data Interval Type", "filtered 1-minute (00:15-01:45)"],
    ["Data Type", "variation"],
  ].map(([name = "", value = ""]) => ` ${name.padEnd(23)}${value.padEnd(45)}|`);
  const rows = Array.from({ length: 24 * 60 }, (_, minute) => {
    const at = new Date(Date.parse("2026-11-10T00:00:00Z") + minute * MINUTE_MS);
    const since = (at.getTime() - FIRST) / MINUTE_MS;
    const fall = since < 4 ? 0 : since < 14 ? (since - 4) * 60 : Math.max(0, 600 - (since - 14) * 5);
    const north = (11_000 - fall + Math.sin(minute) * 2).toFixed(2);
    const text = at.toISOString();
    return `${text.slice(0, 10)} ${text.slice(11, 23)} 314   ${north.padStart(10)}${"500.00".padStart(10)}${"52000.00".padStart(10)}${"53153.00".padStart(10)}`;
  });
  const columns = "DATE       TIME         DOY     SKBX      SKBY      SKBZ      SKBF   |";
  return [...head, columns, ...rows, ""].join("\n");
}

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "quietarc-read-"));
  night = join(folder, "night");
  mkdirSync(night);
  const picture = readFileSync(FRAME);
  for (let number = 0; number < FRAMES; number += 1) {
    writeFileSync(join(night, `ARC_${String(number + 1).padStart(2, "0")}.jpg`), later(picture, number));
  }
  writeFileSync(join(night, "broken.jpg"), Buffer.from([0xff, 0xd8, 0xff, 0xe0, 0]));
  writeFileSync(join(folder, "skb.min"), magnetogram());
  running = await Running.start();
});
afterAll(async () => {
  await running.stop();
  rmSync(folder, { recursive: true, force: true });
});

/** What is read until it is so: the page fills as answers come in. */
const soon = (read: () => Promise<string>) => expect.poll(read, { timeout: 10_000 });
const text = (page: Page, id: string) => page.getByTestId(id).innerText();

async function readPage(context: BrowserContext): Promise<Page> {
  const page = await context.newPage();
  await page.goto(`${running.url}#/read`);
  return page;
}

async function readNight(page: Page): Promise<void> {
  await page.getByLabel(/Folder of the frames/).fill(night);
  await page.getByLabel(/Magnetogram of the same time/).fill(join(folder, "skb.min"));
  await page.locator('form[aria-label="Folder"] button.main').click();
  await page.getByTestId("time").waitFor({ timeout: 60_000 });
}

const width = async (page: Page) => {
  const time = page.getByTestId("time");
  return Number(await time.getAttribute("data-to")) - Number(await time.getAttribute("data-from"));
};

describe("what a folder of frames says", () => {
  it("is read from the page; one cursor moves frame, sky, map and magnetogram", async () => {
    const context = await running.context(DESK);
    const page = await readPage(context);
    await readNight(page);
    await soon(() => text(page, "progress")).toMatch(/12 frames read, 1 left out; not kept/);
    await soon(() => text(page, "headline")).toMatch(/aurora in \d+ of 12 frames looked at/i);
    const time = page.getByTestId("time");
    await time.focus();
    await time.press("Home");
    await soon(() => text(page, "moment")).toContain("20:30:0");
    await soon(() => text(page, "frame-words")).toContain("ARC_01.jpg");
    await soon(() => text(page, "bowl-words")).toMatch(/Brightest .* kR .*° up toward .*\(north\)/);
    await soon(() => text(page, "map-words")).toMatch(/stands \d+ (±|\()/);
    expect(await text(page, "facts")).toMatch(/Magnetogram\s*[+−][0-9] nT from the quiet level/);
    await page.getByAltText("Frame ARC_01.jpg").waitFor();
    await time.press("End");
    await soon(() => text(page, "moment")).toContain("20:41:0");
    await soon(() => text(page, "frame-words")).toContain("ARC_12.jpg");
    // seven minutes of 60 nT each
    expect(await text(page, "facts")).toMatch(/−4[0-9]{2} nT from the quiet level/);
    expect(await text(page, "facts")).toMatch(/Kp\s*not stored for this time/);
    await time.press("ArrowLeft");
    await soon(() => text(page, "frame-words")).toContain("ARC_11.jpg");

    const all = await width(page);
    await time.press("+");
    await time.press("+");
    expect(await width(page)).toBeLessThan(all / 2);
    await time.hover({ position: { x: 700, y: 100 } });
    await page.mouse.wheel(0, 240);
    const shown = await width(page);
    expect(shown).toBeLessThan(all);
    await page.reload();
    await page.getByTestId("time").waitFor();
    await soon(() => text(page, "frame-words")).toContain("ARC_11.jpg");
    expect(Math.abs((await width(page)) - shown)).toBeLessThan(2000);
    await page.getByTestId("time").press("0");
    expect(await width(page)).toBe(all);
    await page.getByTestId("time").click({ position: { x: 60, y: 100 } });
    await soon(() => text(page, "frame-words")).toContain("ARC_01.jpg");
    await page.waitForLoadState("networkidle");
    await shoot(page, "read-desk", true);
    expect(await breaches(page)).toEqual([]);

    const table = await (await page.request.get(`${running.url}api/read/of/current/file/light.csv`)).text();
    expect(table.trim().split("\n")).toHaveLength(FRAMES + 1);
    const drawn = await page.request.get(`${running.url}api/read/of/current/file/keogram.png`);
    expect(drawn.headers()["content-type"]).toBe("image/png");

    // kept with an outing it is there after the program was started again
    await page.getByLabel("With the outing").selectOption({ index: 1 });
    await page.getByRole("button", { name: "Keep", exact: true }).click();
    await soon(() => text(page, "progress")).toContain("kept in the journal");
    await running.restart();
    await page.goto("about:blank");
    await page.goto(`${running.url}#/read`);
    await page.getByTestId("time").waitFor();
    await page.getByTestId("time").press("End");
    await soon(() => text(page, "frame-words")).toContain("ARC_12.jpg");
    expect(await text(page, "facts")).toMatch(/−4[0-9]{2} nT from the quiet level/);
    await context.close();
  });

  it("stays red in dark eyes on a phone, which asks before it shows a frame", async () => {
    const context = await running.context(PHONE);
    const page = await readPage(context);
    await page.getByTestId("time").waitFor();
    await page.waitForLoadState("networkidle");
    await shoot(page, "read-phone", true);
    expect(await breaches(page)).toEqual([]);
    const { wide, seen } = await page.evaluate(() => ({
      wide: document.documentElement.scrollWidth,
      seen: document.documentElement.clientWidth,
    }));
    expect(wide).toBeLessThanOrEqual(seen);
    await page.evaluate(() => localStorage.setItem("quietarc.palette", "dark_eyes"));
    await page.reload();
    await page.getByTestId("time").waitFor();
    expect(await mostGreenOrBlue(context, await shoot(page, "read-phone-dark", true))).toBe(0);
    await page.getByRole("button", { name: "Show the frame, dim and red" }).click();
    await page.getByAltText(/^Frame ARC/).waitFor();
    await page.waitForLoadState("networkidle");
    expect(await mostGreenOrBlue(context, await shoot(page, "read-phone-dark-frame", true))).toBe(0);
    expect(await breaches(page, RULES_FOR_LIT_PAGES)).toEqual([]);
    await context.close();
  });

  it("says what stands in the way, and forgets nothing that was shown", async () => {
    const context = await running.context(DESK);
    const page = await readPage(context);
    await page.getByLabel(/Folder of the frames/).fill(join(folder, "nowhere"));
    await page.locator('form[aria-label="Folder"] button.main').click();
    await soon(() => page.getByRole("alert").innerText()).toMatch(/nowhere cannot be read[\s\S]*What to do/);
    await context.close();
  });
});
