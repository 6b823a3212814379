import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { gzipSync } from "node:zlib";

import type { BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";

import { breaches, DESK, mostGreenOrBlue, PHONE, Running, shoot } from "./program";

/** Red alone fails the contrast rule of text in places by design. */
const RULES_FOR_LIT_PAGES = ["color-contrast"];
/** Soft stars under an invented arc. */
const FRAME = resolve(import.meta.dirname, "../../crates/quietarc/data/test_frame.composed.jpg");
/** An Exif block that says nothing but: turn a quarter to the right (orientation 6). */
const QUARTER_TURN = Buffer.from("ffe100224578696600004d4d002a00000008000101120003000000010006000000000000", "hex");

let running: Running;

beforeAll(async () => {
  running = await Running.start();
});
afterAll(async () => running.stop());

async function checkPage(context: BrowserContext): Promise<Page> {
  const page = await running.outlook(context);
  await page.getByRole("link", { name: "Check" }).click();
  return page;
}

async function pick(page: Page): Promise<void> {
  await page.getByLabel(/Pick a test frame|Pick another frame/).setInputFiles(FRAME);
  await page.getByTestId("advice").waitFor();
}

describe("a test frame", () => {
  it("gets its advice in words, its next settings, its numbers, and its stars ringed", async () => {
    const context = await running.context(DESK);
    const page = await checkPage(context);
    await pick(page);
    const first = page.getByTestId("advice").locator("p").first();
    expect(await first.innerText()).toContain("Focus is soft");
    expect(await page.getByTestId("next").innerText()).toMatch(/ s, f\/1.8, ISO \d+/);
    const numbers = page.getByRole("region", { name: "Numbers" });
    expect(await numbers.innerText()).toMatch(/yes \(probability [01]\.\d+\)/);
    expect(await numbers.innerText()).toMatch(/brightest [\d.]+ \([\d.]+ to [\d.]+\) kR/);
    expect(await numbers.innerText()).toMatch(/Full in green/);
    const drawing = page.locator(".found svg");
    await drawing.waitFor();
    expect(await drawing.locator("image").count()).toBe(1);
    expect(await drawing.locator("path").count()).toBeGreaterThan(0);
    // one key a layer
    const rings = drawing.locator('[data-layer="stars"]').first();
    expect(await rings.isVisible()).toBe(true);
    await page.keyboard.press("s");
    expect(await rings.isVisible()).toBe(false);
    expect(await page.getByRole("button", { name: /^Stars/ }).getAttribute("aria-pressed")).toBe("false");
    await page.keyboard.press("s");
    expect(await rings.isVisible()).toBe(true);
    expect(await drawing.locator('[data-layer="aurora"]').count()).toBe(1);
    const crops = page.getByTestId("crops").locator("canvas");
    await expect.poll(() => crops.count(), { timeout: 10_000 }).toBe(2);
    const widths = await crops.evaluateAll((all) =>
      all.map((one) => Number(/stars ([\d.]+) px/.exec(one.ariaLabel ?? "")?.[1])),
    );
    expect(widths[0]).toBeLessThan(widths[1] ?? 0);
    await shoot(page, "check-desk", true);
    expect(await breaches(page)).toEqual([]);
    await context.close();
  });

  it("fits a phone, with the advice on the first screen and every target large", async () => {
    const context = await running.context(PHONE);
    const page = await checkPage(context);
    await pick(page);
    await page.locator(".found svg").waitFor();
    const box = await page.getByTestId("advice").locator("p").first().boundingBox();
    expect(box && box.y + box.height).toBeLessThanOrEqual(PHONE.height);
    const { wide, seen } = await page.evaluate(() => ({
      wide: document.documentElement.scrollWidth,
      seen: document.documentElement.clientWidth,
    }));
    expect(wide).toBeLessThanOrEqual(seen);
    const small = await page.evaluate(() =>
      [...document.querySelectorAll("main button, main select, main .place")]
        .filter((target) => target.getBoundingClientRect().height < 47.5)
        .map((target) => target.outerHTML.slice(0, 80)),
    );
    expect(small).toEqual([]);
    // the four verbs of the field stand in one row
    const tops = await Promise.all(
      ["Outlook", "Stand", "Expose", "Check"].map(
        async (name) => (await page.getByRole("link", { name }).boundingBox())?.y,
      ),
    );
    expect(new Set(tops).size).toBe(1);
    await shoot(page, "check-phone", true);
    expect(await breaches(page)).toEqual([]);
    await context.close();
  });

  it("asks dark eyes before it is shown, and then shows nothing but red", async () => {
    const context = await running.context(PHONE);
    const page = await checkPage(context);
    await page.getByRole("button", { name: "Dark eyes" }).click();
    await page.getByText("min since white light").first().waitFor();
    await pick(page);
    const show = page.getByRole("button", { name: "Show the frame, dim and red" });
    await show.waitFor();
    expect(await page.locator(".found svg").count()).toBe(0);
    await show.focus();
    await page.keyboard.press("Enter");
    await page.locator(".found svg image").waitFor();
    await page.getByTestId("crops").waitFor();
    await page.waitForTimeout(300);
    expect(await mostGreenOrBlue(context, await shoot(page, "check-dark-phone", true))).toBe(0);
    expect(await breaches(page, RULES_FOR_LIT_PAGES)).toEqual([]);
    await context.close();
  });

  it("cuts the same parts out of a frame marked to be turned", async () => {
    const context = await running.context(DESK);
    const page = await checkPage(context);
    const crops = page.getByTestId("crops").locator("canvas");
    const cut = async (): Promise<string[]> => {
      await page.locator(".found svg").waitFor();
      await expect.poll(() => crops.count(), { timeout: 10_000 }).toBe(2);
      return crops.evaluateAll((all) => all.map((one) => (one as HTMLCanvasElement).toDataURL()));
    };
    await pick(page);
    const upright = await cut();
    const bytes = readFileSync(FRAME);
    const buffer = Buffer.concat([bytes.subarray(0, 2), QUARTER_TURN, bytes.subarray(2)]);
    await page.getByLabel("Pick another frame").setInputFiles({ name: "turned.jpg", mimeType: "image/jpeg", buffer });
    await page.getByText("turned.jpg").first().waitFor();
    expect(await cut()).toEqual(upright);
    await context.close();
  });

  it("is cut by the program where the browser cannot open the file", async () => {
    const context = await running.context(PHONE);
    const page = await checkPage(context);
    // packed, as research cameras pack theirs: no browser opens that
    const buffer = gzipSync(readFileSync(FRAME));
    await page
      .getByLabel("Pick a test frame")
      .setInputFiles({ name: "frame.jpg.gz", mimeType: "application/gzip", buffer });
    const parts = page.getByTestId("cut-parts");
    await parts.waitFor();
    // two parts of 320 px and the gap between them
    await expect.poll(() => parts.evaluate((image) => (image as HTMLImageElement).naturalWidth)).toBe(648);
    expect(await parts.getAttribute("alt")).toMatch(/stars [\d.]+ px wide/);
    await shoot(page, "check-cut-phone", true);
    expect(await breaches(page)).toEqual([]);
    await context.close();
  });

  it("can be tried with an example", async () => {
    const context = await running.context(PHONE);
    const page = await checkPage(context);
    await page.getByRole("button", { name: /^Try with an example/ }).click();
    await page.getByTestId("advice").waitFor();
    expect(await page.getByTestId("advice").innerText()).toContain("(invented)");
    expect(await page.getByRole("region", { name: "Numbers" }).innerText()).toMatch(/yes \(probability [01]\.\d+\)/);
    await page.locator(".found svg").waitFor();
    await shoot(page, "check-example-phone", true);
    expect(await breaches(page)).toEqual([]);
    await context.close();
  });

  it("says of a file that is no picture what to give instead", async () => {
    const context = await running.context(DESK);
    const page = await checkPage(context);
    const buffer = Buffer.from("<html>");
    await page.getByLabel("Pick a test frame").setInputFiles({ name: "page.jpg", mimeType: "image/jpeg", buffer });
    await page.getByTestId("advice").waitFor();
    expect(await page.getByTestId("advice").innerText()).toMatch(/page\.jpg: this is no picture.*give a JPEG/s);
    expect(await page.locator(".found").count()).toBe(0);
    await context.close();
  });
});
