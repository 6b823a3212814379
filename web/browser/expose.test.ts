import type { BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";

import { breaches, DESK, PHONE, Running, shoot } from "./program";

/** Red alone fails the contrast rule of text in places by design. */
const RULES_FOR_LIT_PAGES = ["color-contrast"];

let running: Running;

beforeAll(async () => {
  running = await Running.start();
});
afterAll(async () => running.stop());

/** The expose page with all its patches drawn. */
async function exposePage(context: BrowserContext): Promise<Page> {
  const page = await running.outlook(context);
  await page.getByRole("link", { name: "Expose" }).click();
  await page.getByTestId("dial").waitFor();
  await settled(page);
  return page;
}

/** Nothing is being asked any more and every card has its patch. */
async function settled(page: Page): Promise<void> {
  // the page waits for the hand to rest before it asks
  await page.waitForTimeout(200);
  const open = () =>
    page.evaluate(() => {
      const cards = document.querySelectorAll("article").length;
      const patches = document.querySelectorAll("article .patch svg image").length;
      return document.querySelectorAll(".dial.waiting").length + (cards > 0 ? cards - patches : 1);
    });
  await expect.poll(open, { timeout: 20_000 }).toBe(0);
}

async function dial(page: Page): Promise<string> {
  return (await page.getByTestId("dial").innerText()).trim();
}

/** Seconds times ISO: how much the settings lift the light. */
function gain(words: string): number {
  const [time = "", , iso = ""] = words.split(", ");
  const seconds = time.startsWith("1/") ? 1 / Number.parseFloat(time.slice(2)) : Number.parseFloat(time);
  return seconds * Number.parseFloat(iso.replace("ISO ", ""));
}

describe("expose at the desk", () => {
  it("starts from the outing's predicted arc, three to five cards, each with a patch and what limits it", async () => {
    const context = await running.context(DESK);
    const page = await exposePage(context);
    expect(await dial(page)).toMatch(/ s, f\/[\d.]+, ISO \d+/);
    const cards = page.locator("article");
    expect(await cards.count()).toBeGreaterThanOrEqual(3);
    expect(await cards.count()).toBeLessThanOrEqual(5);
    expect(await cards.first().innerText()).toContain(await dial(page));
    for (const words of await cards.allInnerTexts()) {
      expect(words.toLowerCase()).toContain("limited by");
      expect(words).toContain("of aurora");
      expect(words).toContain("stops at the next brightening");
    }
    expect(await page.getByRole("button", { name: /As predicted/ }).getAttribute("aria-pressed")).toBe("true");
    await shoot(page, "expose-desk");
    await shoot(page, "expose-desk-full", true);
    expect(await breaches(page)).toEqual([]);
    await context.close();
  });

  it("answers the slider by keys, and what is seen moves the slider", async () => {
    const context = await running.context(DESK);
    const page = await exposePage(context);
    const slider = page.getByRole("slider", { name: "Brightness of the aurora" });
    await slider.focus();
    await page.keyboard.press("Home");
    await settled(page);
    expect(await slider.getAttribute("aria-valuetext")).toBe("0.20 kR");
    const faint = gain(await dial(page));
    await page.keyboard.press("End");
    await settled(page);
    expect(await slider.getAttribute("aria-valuetext")).toBe("500 kR");
    expect(gain(await dial(page))).toBeLessThan(faint / 20);
    const places: number[] = [];
    for (const name of ["Nothing", "Grey", "A hint of colour", "Plain colour", "Casts shadows"]) {
      await page.getByRole("button", { name, exact: true }).click();
      await settled(page);
      places.push(Number(await slider.inputValue()));
      expect(await page.getByRole("button", { name, exact: true }).getAttribute("aria-pressed")).toBe("true");
    }
    expect(places).toEqual([...places].sort((a, b) => a - b));
    expect(new Set(places).size).toBe(places.length);
    await context.close();
  });

  it("follows the time cursor, and says the time-lapse when asked", async () => {
    const context = await running.context(DESK);
    const page = await exposePage(context);
    const before = await page.getByTestId("brightness").innerText();
    await page.getByRole("slider", { name: "Time of the night" }).focus();
    for (let presses = 0; presses < 8; presses += 1) await page.keyboard.press("ArrowRight");
    await expect.poll(() => page.getByTestId("brightness").innerText()).not.toBe(before);
    await page.getByLabel("Time-lapse").check();
    await page.getByLabel("Temperature, °C").fill("-15");
    await settled(page);
    expect(await page.locator("article").first().innerText()).toMatch(/Time-lapse: every \d+ s: \d+ frames in 2 h/);
    expect(await page.locator(".verdict").innerText()).toContain("Do not charge batteries below 0");
    await page.getByLabel("Hours").fill("-2");
    const alert = page.getByRole("alert");
    await alert.waitFor();
    expect(await alert.innerText()).toContain("hours");
    expect(await page.getByLabel("Hours").getAttribute("aria-invalid")).toBe("true");
    await context.close();
  });

  it("has a size for every hand and a ring for every key", async () => {
    const context = await running.context(PHONE);
    const page = await exposePage(context);
    await page.getByLabel("Time-lapse").check();
    const small = await page.evaluate(() =>
      [...document.querySelectorAll("main button, main select, main summary, main input:not([type=checkbox])")]
        .filter((target) => target.getClientRects().length > 0)
        .filter((target) => target.getBoundingClientRect().height < 47.5)
        .map((target) => target.outerHTML.slice(0, 80)),
    );
    expect(small).toEqual([]);
    const reached: string[] = [];
    await page.locator("main").focus();
    for (let presses = 0; presses < 24; presses += 1) {
      await page.keyboard.press("Tab");
      reached.push(
        await page.evaluate(() => {
          const focused = document.activeElement;
          if (focused === document.body) return "the browser's own bar";
          const ring = focused ? getComputedStyle(focused).outlineStyle : "none";
          const label = focused?.getAttribute("aria-label") ?? focused?.closest("label")?.textContent;
          return `${(label ?? focused?.textContent ?? "").trim()}${ring === "none" ? " WITHOUT RING" : ""}`;
        }),
      );
    }
    const all = reached.join("\n");
    for (const wanted of ["Brightness of the aurora", "Grey", "Casts shadows", "Why, and the rest", "Kit", "Motion"]) {
      expect(all).toContain(wanted);
    }
    expect(all).not.toContain("WITHOUT RING");
    await context.close();
  });
});

describe("expose outdoors", () => {
  it("fits the phone, with the settings to dial in on the first screen", async () => {
    const context = await running.context(PHONE);
    const page = await exposePage(context);
    const box = await page.getByTestId("dial").boundingBox();
    expect(box && box.y + box.height).toBeLessThanOrEqual(PHONE.height);
    const { wide, seen } = await page.evaluate(() => ({
      wide: document.documentElement.scrollWidth,
      seen: document.documentElement.clientWidth,
    }));
    expect(wide).toBeLessThanOrEqual(seen);
    await shoot(page, "expose-phone");
    await shoot(page, "expose-phone-full", true);
    expect(await breaches(page)).toEqual([]);
    await context.close();
  });

  it("lights nothing but red in dark eyes, patches and all", async () => {
    for (const [name, viewport] of [
      ["desk", DESK],
      ["phone", PHONE],
    ] as const) {
      const context = await running.context(viewport);
      const page = await exposePage(context);
      const strip = page.waitForResponse((response) => response.url().endsWith("/api/draw/strip"));
      await page.getByRole("button", { name: "Dark eyes" }).click();
      await strip;
      await page.getByText("min since white light").first().waitFor();
      await settled(page);
      const png = await shoot(page, `expose-dark-${name}`, true);
      const most = await page.evaluate(async (base64) => {
        const picture = new Image();
        picture.src = `data:image/png;base64,${base64}`;
        await picture.decode();
        const canvas = new OffscreenCanvas(picture.width, picture.height);
        const pen = canvas.getContext("2d");
        if (!pen) throw new Error("no canvas");
        pen.drawImage(picture, 0, 0);
        const { data } = pen.getImageData(0, 0, picture.width, picture.height);
        let [found, red] = [0, 0];
        for (let at = 0; at < data.length; at += 4) {
          found = Math.max(found, data[at + 1] ?? 0, data[at + 2] ?? 0);
          red = Math.max(red, data[at] ?? 0);
        }
        return { found, red };
      }, png.toString("base64"));
      expect(most.found).toBe(0);
      expect(most.red).toBeGreaterThan(0);
      expect(await breaches(page, RULES_FOR_LIT_PAGES)).toEqual([]);
      await context.close();
    }
  });
});
