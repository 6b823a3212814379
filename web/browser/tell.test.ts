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

describe("the account", () => {
  it("tells its sources, and its running order is moved by buttons and keys and taken back", async () => {
    const context = await running.context(DESK);
    const page = await tellPage(context);
    const cards = page.getByTestId("running-order").locator("li");
    await cards.first().waitFor({ timeout: 20_000 });
    const names = () => cards.evaluateAll((rows) => rows.map((row) => row.dataset["card"]));
    const starts = () => cards.locator(".at").allInnerTexts();
    const before = await names();
    expect(before.length).toBeGreaterThan(2);
    await cards
      .nth(1)
      .getByRole("button", { name: /earlier/ })
      .click();
    await expect.poll(names).toEqual([before[1], before[0], ...before.slice(2)]);
    expect((await starts())[0]).toBe("0:00");
    // keys: the card that was moved stays under the hand
    await page.keyboard.press("Alt+ArrowDown");
    await expect.poll(names).toEqual(before);
    await page.keyboard.press("Control+z");
    await expect.poll(names).toEqual([before[1], before[0], ...before.slice(2)]);
    await page.getByRole("button", { name: "Undo the last move" }).click();
    await expect.poll(names).toEqual(before);
    expect(await page.getByRole("button", { name: "Undo the last move" }).isDisabled()).toBe(true);

    // a number shows who says it
    const number = page.getByTestId("account-words").locator("button.number").first();
    await number.focus();
    expect(await number.locator(".source").isVisible()).toBe(true);
    // less time on air: sentences go, and are named
    await page.getByLabel(/Minutes on air/).fill("0,5");
    await page.keyboard.press("Enter");
    await page.getByText(/No time on air for (one|\d+) sentence/).waitFor();
    expect(await page.getByRole("heading", { name: "Running order, 0:30" }).count()).toBe(1);
    const saved = page.waitForEvent("download");
    await page.getByRole("link", { name: "Save the running order (CSV)" }).click();
    expect((await saved).suggestedFilename()).toBe("running-order.csv");
    await shoot(page, "tell-account-desk", true);
    expect(await breaches(page)).toEqual([]);
    await context.close();
  });
});

describe("a still", () => {
  it("is looked at in both shapes with its safe areas, and saved without them", async () => {
    const context = await running.context(DESK);
    const page = await tellPage(context);
    await pick(page);
    const still = page.getByTestId("still");
    await still.waitFor({ timeout: 30_000 });
    const shape = () => still.evaluate((picture: HTMLImageElement) => picture.naturalWidth / picture.naturalHeight);
    expect(await shape()).toBeCloseTo(16 / 9, 2);
    const wide = await still.getAttribute("src");
    await page.getByLabel("Show the safe areas").uncheck();
    await expect.poll(() => still.getAttribute("src"), { timeout: 30_000 }).not.toBe(wide);
    await page.getByLabel("Show the safe areas").check();
    await page.getByRole("button", { name: "9:16" }).click();
    await expect.poll(shape, { timeout: 30_000 }).toBeCloseTo(9 / 16, 2);
    await page.getByLabel("Credit").fill("Photo: Ida Berg");
    await page.keyboard.press("Enter");
    await expect.poll(() => page.getByTestId("still-caption").innerText(), { timeout: 30_000 }).toContain("Ida Berg");
    const saved = page.waitForEvent("download");
    await page.getByRole("button", { name: "Save as JPG" }).click();
    expect((await saved).suggestedFilename()).toMatch(/-still-9x16\.jpg$/);
    await shoot(page, "tell-still-desk", true);
    await context.close();
  });

  it("draws a map of an outing, coarse by itself, and says why there is no keogram", async () => {
    for (const [name, viewport] of [
      ["desk", DESK],
      ["phone", PHONE],
    ] as const) {
      const context = await running.context(viewport);
      const page = await tellPage(context);
      const section = page.locator(".still");
      await section.getByRole("button", { name: "Map" }).click();
      const still = page.getByTestId("still");
      await still.waitFor({ timeout: 30_000 });
      expect(await section.getByLabel("Place on the map, to").inputValue()).toBe("degree");
      expect(await page.getByTestId("still-caption").innerText()).toMatch(/\d+° N, \d+° E/);
      const shape = () => still.evaluate((picture: HTMLImageElement) => picture.naturalWidth / picture.naturalHeight);
      await section.getByRole("button", { name: "9:16" }).click();
      await expect.poll(shape, { timeout: 30_000 }).toBeCloseTo(9 / 16, 2);
      const saved = page.waitForEvent("download");
      await section.getByRole("button", { name: "Save as SVG" }).click();
      expect((await saved).suggestedFilename()).toBe("map-still-9x16.svg");
      const { wide, seen } = await page.evaluate(() => ({
        wide: document.documentElement.scrollWidth,
        seen: document.documentElement.clientWidth,
      }));
      expect(wide).toBeLessThanOrEqual(seen);
      await shoot(page, `tell-map-${name}`, true);
      // the demo without its night keeps no reading
      await section.getByRole("button", { name: "Keogram" }).click();
      await section.getByText(/nothing is kept with outing/).waitFor({ timeout: 30_000 });
      expect(await still.count()).toBe(0);
      await context.close();
    }
  });
});
