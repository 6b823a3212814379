import { mkdtempSync, readFileSync, rmSync, utimesSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";

import type { BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";

import { breaches, DESK, mostGreenOrBlue, PHONE, Running, shoot } from "./program";

/** Red alone fails the contrast rule of text in places by design. */
const RULES_FOR_LIT_PAGES = ["color-contrast"];
/** Soft stars under an invented arc. */
const FRAME = resolve(import.meta.dirname, "../../crates/quietarc/data/test_frame.composed.jpg");
const FRAMES = 12;

let running: Running;
let night: string;

beforeAll(async () => {
  night = mkdtempSync(join(tmpdir(), "quietarc-night-"));
  const picture = readFileSync(FRAME);
  for (let number = 1; number <= FRAMES; number += 1) {
    const path = join(night, `IMG_${String(number).padStart(2, "0")}.jpg`);
    // bytes behind the end of the picture: a content of its own
    writeFileSync(path, Buffer.concat([picture, Buffer.from(`frame ${number}`)]));
    // as if copied a while ago
    utimesSync(path, new Date(Date.now() - 100_000), new Date(Date.now() - 100_000));
  }
  writeFileSync(join(night, "broken.jpg"), Buffer.from([0xff, 0xd8, 0xff, 0xe0, 0]));
  running = await Running.start();
});
afterAll(async () => {
  await running.stop();
  rmSync(night, { recursive: true, force: true });
});

async function sortPage(context: BrowserContext): Promise<Page> {
  const page = await context.newPage();
  await page.goto(`${running.url}#/sort`);
  return page;
}

async function sortNight(page: Page): Promise<void> {
  await page.getByLabel(/Folder of the night's frames/).fill(night);
  await page.locator('form[aria-label="Folder"] button.main').click();
  await page.getByTestId("sheet").waitFor();
}

const thumb = (page: Page, name: string) => page.locator(`[data-name="${name}"]`);
/** What is read until it is so: the page fills as answers come in. */
const soon = (read: () => Promise<string>) => expect.poll(read, { timeout: 10_000 });
const mark = (page: Page, name: string) => thumb(page, name).locator(".mark").innerText();

async function point(page: Page, name: string): Promise<void> {
  await thumb(page, name).click();
}

/** Presses a verdict's key and waits until it is kept. */
async function judge(page: Page, key: string, name: string): Promise<void> {
  const kept = page.waitForResponse((answer) => answer.url().endsWith("/api/sort/verdict") && answer.ok());
  await page.keyboard.press(key);
  await kept;
  await page.locator(`[data-name="${name}"]:not([data-person="none"])`).waitFor();
}

describe("a night's frames", () => {
  it("are culled from the keyboard, and the verdicts stay over a restart of the program", async () => {
    const context = await running.context(DESK);
    const page = await sortPage(context);
    await sortNight(page);
    await soon(() => page.getByTestId("sum").innerText()).toMatch(/^13 frames: keep \d+.*1 unreadable/);
    await soon(() => page.getByTestId("progress").innerText()).toMatch(/13 frames measured|known from before/);
    await page.locator(".thumb img").first().waitFor();
    await expect.poll(() => page.locator(".thumb").count(), { timeout: 10_000 }).toBe(FRAMES + 1);

    await point(page, "IMG_01.jpg");
    await judge(page, "p", "IMG_01.jpg");
    // the cursor went on by itself
    await soon(() => page.getByTestId("current").innerText()).toContain("IMG_02.jpg");
    await judge(page, "x", "IMG_02.jpg");
    await judge(page, "u", "IMG_03.jpg");
    await page.keyboard.press("k");
    await soon(() => page.getByTestId("current").innerText()).toContain("IMG_03.jpg");
    await page.keyboard.press("j");
    await page.keyboard.press("ArrowRight");
    await soon(() => page.getByTestId("current").innerText()).toContain("IMG_05.jpg");
    await judge(page, "p", "IMG_05.jpg");
    await soon(() => mark(page, "IMG_01.jpg")).toContain("you: keep");
    await soon(() => mark(page, "IMG_02.jpg")).toContain("you: dud");
    await soon(() => mark(page, "IMG_03.jpg")).toContain("you: open");
    await soon(() => page.getByTestId("sum").innerText()).toContain("left open by you");

    await page.keyboard.press("w");
    await soon(() => page.getByTestId("why").innerText()).toMatch(/Stars[\s\S]*Width of stars/);
    await page.keyboard.press("?");
    await soon(() => page.getByTestId("keys").innerText()).toContain("take your verdict back");
    await shoot(page, "sort-desk-why");
    await page.keyboard.press("Escape");
    await page.waitForLoadState("networkidle");
    await shoot(page, "sort-desk", true);
    expect(await breaches(page)).toEqual([]);

    // a later sort asks again and overwrites nothing
    await page.getByRole("button", { name: "Sort again" }).click();
    await page.getByTestId("sheet").waitFor();
    await soon(() => mark(page, "IMG_02.jpg")).toContain("you: dud");
    await soon(() => page.getByTestId("progress").innerText()).toContain("known from before");

    await running.restart();
    await page.goto("about:blank");
    await page.goto(`${running.url}#/sort`);
    await page.getByTestId("sheet").waitFor();
    await soon(() => mark(page, "IMG_01.jpg")).toContain("you: keep");
    await soon(() => mark(page, "IMG_02.jpg")).toContain("you: dud");
    await soon(() => mark(page, "IMG_03.jpg")).toContain("you: open");
    await soon(() => page.getByTestId("progress").innerText()).toContain("known from before");

    await point(page, "IMG_02.jpg");
    await page.keyboard.press("Backspace");
    await page.locator('[data-name="IMG_02.jpg"][data-person="none"]').waitFor();
    await context.close();
  });

  it("can be filtered by reason", async () => {
    const context = await running.context(DESK);
    const page = await sortPage(context);
    await sortNight(page);
    await page.getByRole("button", { name: /^unreadable/ }).click();
    await expect.poll(() => page.locator(".thumb").count(), { timeout: 10_000 }).toBe(1);
    await soon(() => mark(page, "broken.jpg")).toContain("dud: unreadable");
    await page.keyboard.press("Shift+F");
    await page.keyboard.press("f");
    await expect.poll(() => page.locator(".thumb").count(), { timeout: 10_000 }).toBe(1);
    await context.close();
  });

  it("are compared at 100 % on one star, and move together", async () => {
    const context = await running.context(DESK);
    const page = await sortPage(context);
    await sortNight(page);
    await point(page, "IMG_04.jpg");
    await page.keyboard.press("c");
    await page.keyboard.press("ArrowRight");
    await page.keyboard.press("c");
    await page.getByText("locked on one star").waitFor();
    const pictures = page.locator("dialog img");
    await expect.poll(() => pictures.count(), { timeout: 10_000 }).toBe(2);
    const places = () =>
      pictures.evaluateAll((list) => list.map((picture) => (picture as HTMLElement).style.transform));
    const before = await places();
    expect(before[0]).toBe(before[1]);
    await shoot(page, "sort-compare");
    await page.keyboard.press("ArrowRight");
    await expect.poll(places).not.toEqual(before);
    const after = await places();
    expect(after[0]).toBe(after[1]);
    expect(await breaches(page)).toEqual([]);
    await page.keyboard.press("Escape");
    await expect.poll(() => page.locator("dialog").count()).toBe(0);
    await context.close();
  });

  it("fit a phone, with every target large", async () => {
    const context = await running.context(PHONE);
    const page = await sortPage(context);
    await sortNight(page);
    await page.locator(".thumb img").first().waitFor();
    const { wide, seen } = await page.evaluate(() => ({
      wide: document.documentElement.scrollWidth,
      seen: document.documentElement.clientWidth,
    }));
    expect(wide).toBeLessThanOrEqual(seen);
    const small = await page.evaluate(() =>
      [...document.querySelectorAll("main button, main select, main summary, main input")]
        .filter((target) => target.checkVisibility() && target.getBoundingClientRect().height < 47.5)
        .map((target) => target.outerHTML.slice(0, 80)),
    );
    expect(small).toEqual([]);
    await point(page, "IMG_06.jpg");
    const kept = page.waitForResponse((answer) => answer.url().endsWith("/api/sort/verdict"));
    await page.getByRole("button", { name: "Dud", exact: true }).click();
    expect((await kept).ok()).toBe(true);
    await page.locator('[data-name="IMG_06.jpg"][data-person="dud"]').waitFor();
    await page.waitForLoadState("networkidle");
    await shoot(page, "sort-phone");
    expect(await breaches(page)).toEqual([]);
    await context.close();
  });

  it("ask dark eyes before they are shown, and then show nothing but red", async () => {
    const context = await running.context(PHONE);
    const page = await sortPage(context);
    await page.getByRole("button", { name: "Dark eyes" }).click();
    await page.getByText("min since white light").first().waitFor();
    await sortNight(page);
    expect(await page.locator(".thumb img").count()).toBe(0);
    await page.getByRole("button", { name: "Show the frames, dim and red" }).click();
    const picture = page.locator(".thumb img").first();
    await picture.evaluate((image) => image.scrollIntoView({ block: "center" }));
    await expect.poll(() => picture.evaluate((image) => (image as HTMLImageElement).naturalWidth)).toBeGreaterThan(0);
    await page.waitForLoadState("networkidle");
    expect(await mostGreenOrBlue(context, await shoot(page, "sort-dark-phone"))).toBe(0);
    expect(await breaches(page, RULES_FOR_LIT_PAGES)).toEqual([]);
    await context.close();
  });

  it("lie in folders that the program was started with, which are offered to pick", async () => {
    const named = await Running.start(["--frames", night]);
    const context = await named.context(PHONE);
    const page = await context.newPage();
    await page.goto(`${named.url}#/sort`);
    const folder = page.getByRole("button", { name: /^Sort quietarc-night-/ });
    const box = await folder.boundingBox();
    expect(box && box.height >= 47.5 && box.y + box.height <= PHONE.height).toBe(true);
    await shoot(page, "sort-pick-phone");
    expect(await breaches(page)).toEqual([]);
    await folder.click();
    await page.getByTestId("sheet").waitFor();
    await page.getByText("13 frames: keep").waitFor();
    await context.close();
    await named.stop();
  });

  it("that are not there are said with what to do", async () => {
    const context = await running.context(DESK);
    const page = await sortPage(context);
    await page.getByLabel(/Folder of the night's frames/).fill("/no/such/folder");
    await page.locator('form[aria-label="Folder"] button.main').click();
    await soon(() => page.getByRole("alert").innerText()).toContain("folder /no/such/folder cannot be read");
    await context.close();
  });

  it("can be measured by their raw pictures themselves", async () => {
    const context = await running.context(DESK);
    const page = await sortPage(context);
    await page.getByLabel(/Folder of the night's frames/).fill(night);
    await page.getByText("What the frames do not say").click();
    await page.getByLabel(/Measure raw pictures themselves/).check();
    const asked = page.waitForRequest((request) => request.method() === "POST" && request.url().endsWith("/api/sort"));
    await page.locator('form[aria-label="Folder"] button.main').click();
    expect((await asked).postDataJSON()).toMatchObject({ folder: night, full_raw: true });
    await page.getByTestId("sheet").waitFor();
    await page.getByText("13 frames: keep").waitFor();
    await context.close();
  });
});
