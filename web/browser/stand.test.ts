import type { BrowserContext, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";

import { breaches, DESK, PHONE, Running, shoot } from "./program";

/** Red alone fails the contrast rule of text in places by design: a brighter ink would cost the eye its adaptation. */
const RULES_FOR_LIT_PAGES = ["color-contrast"];

let running: Running;
let context: BrowserContext;

beforeAll(async () => {
  running = await Running.start();
});
afterAll(async () => running.stop());
afterEach(async () => context.close());

async function stand(viewport: { width: number; height: number }): Promise<Page> {
  context = await running.context(viewport);
  const page = await running.outlook(context);
  await page.getByRole("link", { name: "Stand" }).click();
  await page.getByTestId("stand-bowl").locator("svg").first().waitFor();
  await page.getByTestId("stand-view").locator("svg").waitFor();
  return page;
}

const frame = (page: Page) => page.getByRole("slider", { name: "Frame on the sky" });
const verdict = (page: Page) => page.getByTestId("stand-verdict").innerText();

describe("the frame at the desk", () => {
  it("says what is in it, in words too, and keeps the rules of accessibility", async () => {
    const page = await stand(DESK);
    expect(await verdict(page)).toMatch(/Pointing to bearing \d+/);
    expect(await page.getByTestId("stand-dew").innerText()).toMatch(/Dew|Frost/);
    const drawing = page.getByTestId("stand-view").locator("svg");
    expect(await drawing.locator("> desc").textContent()).toContain("Through");
    expect(await breaches(page)).toEqual([]);
    await shoot(page, "stand-desk");
    await shoot(page, "stand-desk-full", true);
  });

  it("turns and tilts with the keys, and goes back to the suggestion", async () => {
    const page = await stand(DESK);
    const before = await verdict(page);
    const slider = frame(page);
    await slider.focus();
    const azimuth = Number(await slider.getAttribute("aria-valuenow"));
    const outline = await page.getByTestId("stand-outline").innerHTML();
    await page.keyboard.press("ArrowRight");
    await page.keyboard.press("Shift+ArrowRight");
    expect(Number(await slider.getAttribute("aria-valuenow"))).toBe((azimuth + 6) % 360);
    // the outline follows at once, before the program has answered
    expect(await page.getByTestId("stand-outline").innerHTML()).not.toBe(outline);
    await page.keyboard.press("r");
    expect(await slider.getAttribute("aria-valuetext")).toMatch(/portrait|landscape/);
    await expect.poll(() => verdict(page), { timeout: 20_000 }).not.toBe(before);
    await page.keyboard.press("Home");
    await expect.poll(() => verdict(page), { timeout: 20_000 }).toBe(before);
  });

  it("follows the hand on the bowl, and the program's outline agrees with the one of the hand", async () => {
    const page = await stand(DESK);
    const box = await page.getByTestId("stand-bowl").boundingBox();
    if (!box) throw new Error("the bowl has a place");
    const points = () => page.getByTestId("stand-outline").locator("polygon").first().getAttribute("points");
    // the program's answer is held back, so that the outline of the hand can be read
    let release: () => void = () => undefined;
    const held = new Promise<void>((resolve) => (release = resolve));
    await page.route("**/api/stand", async (route) => {
      await held;
      await route.continue().catch(() => undefined);
    });
    const before = (await points()) ?? "";
    const said = await verdict(page);
    await page.mouse.move(box.x + box.width * 0.5, box.y + box.height * 0.3);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width * 0.3, box.y + box.height * 0.35, { steps: 4 });
    await page.mouse.up();
    expect(Number(await frame(page).getAttribute("aria-valuenow"))).toBeLessThan(120);
    const byHand = (await points()) ?? "";
    expect(byHand).not.toBe(before);
    expect(await verdict(page)).toBe(said);
    release();
    await expect.poll(() => verdict(page), { timeout: 20_000 }).not.toBe(said);
    const [ours, theirs] = [byHand, (await points()) ?? ""].map((list) =>
      list.split(" ").map((pair) => pair.split(",").map(Number) as [number, number]),
    );
    // both start at the top left corner of the frame; a pixel of the drawing is a third of a degree
    const [x0, y0] = ours?.[0] ?? [0, 0];
    const [x1, y1] = theirs?.[0] ?? [9, 9];
    expect(Math.hypot(x1 - x0, y1 - y0)).toBeLessThan(1.5);
  });

  it("makes the turn whose gain it names", async () => {
    const page = await stand(DESK);
    const before = await verdict(page);
    await page.getByRole("button", { name: /10° left/ }).click();
    await expect.poll(() => verdict(page), { timeout: 20_000 }).not.toBe(before);
  });

  it("follows the time cursor", async () => {
    const page = await stand(DESK);
    const heading = await page.getByText("The frame on the sky at").innerText();
    await page.getByRole("slider", { name: "Time of the night" }).focus();
    for (let presses = 0; presses < 6; presses += 1) await page.keyboard.press("ArrowRight");
    expect(await page.getByText("The frame on the sky at").innerText()).not.toBe(heading);
  });
});

describe("the frame outdoors", () => {
  it("fits the phone and has a size for every hand", async () => {
    const page = await stand(PHONE);
    const { wide, seen } = await page.evaluate(() => ({
      wide: document.documentElement.scrollWidth,
      seen: document.documentElement.clientWidth,
    }));
    expect(wide).toBeLessThanOrEqual(seen);
    const small = await page.evaluate(() =>
      [...document.querySelectorAll("main button, main summary, main .handle")]
        .filter((target) => target.getBoundingClientRect().height < 47.5)
        .map((target) => target.outerHTML.slice(0, 80)),
    );
    expect(small).toEqual([]);
    expect(await breaches(page)).toEqual([]);
    await shoot(page, "stand-phone");
    await shoot(page, "stand-phone-full", true);
  });

  it("keeps to red for dark eyes", async () => {
    const page = await stand(PHONE);
    await page.getByRole("button", { name: "Dark eyes" }).click();
    await page.getByText("min since white light").first().waitFor();
    const colours = await page.evaluate(() =>
      [...document.querySelectorAll("main *")].flatMap((element) => {
        const style = getComputedStyle(element);
        return [style.color, style.backgroundColor, style.fill, style.stroke];
      }),
    );
    const notRed = colours.filter((colour) => {
      const [, green, blue, opacity] = /rgba?\(\d+, (\d+), (\d+)(?:, ([\d.]+))?\)/.exec(colour) ?? [];
      return opacity !== "0" && Number(green ?? 0) + Number(blue ?? 0) > 0;
    });
    // also before the drawings in red have arrived
    expect([...new Set(notRed)]).toEqual([]);
    await page.getByTestId("stand-view").locator("svg").waitFor();
    await page.getByTestId("stand-bowl").locator("svg").first().waitFor();
    expect(await breaches(page, RULES_FOR_LIT_PAGES)).toEqual([]);
    await shoot(page, "stand-dark-phone-full", true);
  });
});
