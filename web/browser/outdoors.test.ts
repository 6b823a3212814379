import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";

import { breaches, DESK, mostGreenOrBlue, PHONE, Running, shoot } from "./program";

/** Red alone fails the contrast rule of text in places by design: a brighter ink would cost the eye its adaptation. */
const RULES_FOR_LIT_PAGES = ["color-contrast"];

let running: Running;

beforeAll(async () => {
  running = await Running.start();
});
afterAll(async () => running.stop());

async function noSidewaysScroll(page: Page): Promise<void> {
  const { wide, seen } = await page.evaluate(() => ({
    wide: document.documentElement.scrollWidth,
    seen: document.documentElement.clientWidth,
  }));
  expect(wide).toBeLessThanOrEqual(seen);
}

describe("dark eyes", () => {
  it("light nothing but red, at the desk, on the phone, and from the first paint after a reload", async () => {
    for (const [name, viewport] of [
      ["desk", DESK],
      ["phone", PHONE],
    ] as const) {
      const context = await running.context(viewport);
      const page = await running.outlook(context);
      await page.getByRole("button", { name: "Dark eyes" }).click();
      await page.getByText("min since white light").first().waitFor();
      await page.waitForLoadState("networkidle");
      await page.waitForTimeout(300);
      expect(await mostGreenOrBlue(context, await shoot(page, `dark-${name}`))).toBe(0);
      expect(await mostGreenOrBlue(context, await shoot(page, `dark-${name}-full`, true))).toBe(0);
      expect(await breaches(page, RULES_FOR_LIT_PAGES)).toEqual([]);
      await page.reload({ waitUntil: "domcontentloaded" });
      expect(await mostGreenOrBlue(context, await page.screenshot())).toBe(0);
      await page.getByTestId("verdict").waitFor();
      expect(await page.evaluate(() => document.documentElement.dataset["palette"])).toBe("dark-eyes");
      await context.close();
    }
  });

  it("keep to red in a list that is open", async () => {
    const context = await running.context(DESK);
    const page = await running.outlook(context);
    await page.getByRole("button", { name: "Dark eyes" }).click();
    await page.getByLabel("Cloud, tenths of the sky").click();
    await page.waitForLoadState("networkidle");
    await page.waitForTimeout(300);
    expect(await mostGreenOrBlue(context, await shoot(page, "dark-list"))).toBe(0);
    await context.close();
  });

  it("dims further, and asks before white light comes back", async () => {
    const context = await running.context(DESK);
    const page = await running.outlook(context);
    await page.getByRole("button", { name: "Dark eyes" }).click();
    await page.getByLabel("Brightness").fill("0.3");
    expect(await page.evaluate(() => getComputedStyle(document.body, "::after").opacity)).toBe("0.7");
    await page.getByRole("button", { name: "Desk light" }).click();
    expect(await page.evaluate(() => document.documentElement.dataset["palette"])).toBe("dark-eyes");
    await page.getByRole("button", { name: "press again" }).click();
    expect(await page.evaluate(() => document.documentElement.dataset["palette"])).toBe("day");
    await context.close();
  });
});

describe("the phone", () => {
  it("scrolls one way only and keeps the rules of accessibility", async () => {
    const context = await running.context(PHONE);
    const page = await running.outlook(context);
    await noSidewaysScroll(page);
    await shoot(page, "phone");
    await shoot(page, "phone-full", true);
    expect(await breaches(page)).toEqual([]);
    // four verbs stand in the thumb's row, the rest behind one more key
    await page.getByRole("button", { name: "More", exact: true }).click();
    await page.getByRole("link", { name: "Almanac" }).click();
    await page.getByText("Times of this night").waitFor();
    await noSidewaysScroll(page);
    await context.close();
  });

  it("bears text at twice its size", async () => {
    const context = await running.context(PHONE);
    const page = await running.outlook(context);
    await page.evaluate(() => (document.documentElement.style.fontSize = "200%"));
    await noSidewaysScroll(page);
    await shoot(page, "phone-large-text", true);
    await context.close();
  });
});
