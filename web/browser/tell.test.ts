import { resolve } from "node:path";

import type { BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";

import { breaches, DESK, mostGreenOrBlue, PHONE, Running, shoot } from "./program";

/** Soft stars under an invented arc. */
const FRAME = resolve(import.meta.dirname, "../../crates/quietarc/data/test_frame.composed.jpg");
/** Red alone fails the contrast rule of text in places by design. */
const RULES_FOR_LIT_PAGES = ["color-contrast"];

let running: Running;

beforeAll(async () => {
  running = await Running.start();
});
afterAll(async () => running.stop());

async function tellPage(context: BrowserContext): Promise<Page> {
  const page = await running.outlook(context);
  await page.goto(page.url().replace(/#.*$/, "") + "#/tell");
  await page.getByRole("heading", { name: "Eye and camera" }).waitFor();
  return page;
}

async function pick(page: Page): Promise<void> {
  await page.getByLabel(/Pick a frame|Pick another frame/).setInputFiles(FRAME);
  await page.getByTestId("eye-verdict").waitFor({ timeout: 20_000 });
}

describe("eye and camera", () => {
  it("shows both with a divider that keys move, numbers with ranges, and says it is a simulation", async () => {
    const context = await running.context(DESK);
    const page = await tellPage(context);
    await pick(page);
    expect(await page.getByTestId("eye-verdict").innerText()).toMatch(/About [\d.]+ kR \([\d.]+ to [\d.]+\)/);
    expect(await page.getByTestId("eye-caption").innerText()).toContain("Simulation");
    const eye = page.getByTestId("eye-picture");
    const before = await eye.evaluate((picture) => getComputedStyle(picture).clipPath);
    await page.getByTestId("divider").focus();
    for (let press = 0; press < 10; press += 1) await page.keyboard.press("ArrowRight");
    const after = await eye.evaluate((picture) => getComputedStyle(picture).clipPath);
    expect(before).toContain("50%");
    expect(after).toContain("60%");
    await shoot(page, "tell-desk", true);
    // less time in the dark: the same light, another limit
    const limit = page.getByText(/a wide glow \(model\)/);
    const rested = await limit.innerText();
    await page.getByTestId("minutes").fill("3");
    await expect.poll(() => limit.innerText(), { timeout: 20_000 }).not.toBe(rested);
    expect(await breaches(page)).toEqual([]);
    await context.close();
  });

  it("fits a phone", async () => {
    const context = await running.context(PHONE);
    const page = await tellPage(context);
    await pick(page);
    const { wide, seen } = await page.evaluate(() => ({
      wide: document.documentElement.scrollWidth,
      seen: document.documentElement.clientWidth,
    }));
    expect(wide).toBeLessThanOrEqual(seen);
    await shoot(page, "tell-phone", true);
    await context.close();
  });

  it("asks dark eyes before it is shown, and then shows nothing but red", async () => {
    const context = await running.context(PHONE);
    const page = await tellPage(context);
    await page.getByRole("button", { name: "Dark eyes" }).click();
    await page.getByText("min since white light").first().waitFor();
    await pick(page);
    expect(await page.getByTestId("eye-picture").count()).toBe(0);
    await page.getByRole("button", { name: "Show the frame, dim and red" }).click();
    await page.getByTestId("eye-picture").waitFor({ timeout: 20_000 });
    await page.waitForTimeout(300);
    expect(await mostGreenOrBlue(context, await shoot(page, "tell-dark-phone", true))).toBe(0);
    expect(await breaches(page, RULES_FOR_LIT_PAGES)).toEqual([]);
    await context.close();
  });
});
