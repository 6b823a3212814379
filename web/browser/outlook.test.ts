import type { BrowserContext, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";

import { breaches, DESK, Running, shoot } from "./program";

let running: Running;
let context: BrowserContext;
let page: Page;

beforeAll(async () => {
  running = await Running.start();
});
afterAll(async () => running.stop());
beforeEach(async () => {
  context = await running.context(DESK);
  page = await running.outlook(context);
});
afterEach(async () => context.close());

describe("the outlook at the desk", () => {
  it("shows the verdict, the chances in words, and the cautions in sight", async () => {
    expect((await page.getByTestId("verdict").innerText()).length).toBeGreaterThan(20);
    const chances = await page.getByTestId("chances").innerText();
    for (const who of ["eye", "colour", "camera"]) expect(chances).toContain(who);
    expect(chances).toMatch(/in 10|in 20|no chance/);
    expect(await page.locator("main").innerText()).not.toMatch(/\d\s?%/);
    const cautions = page.locator(".cautions summary");
    const box = await cautions.boundingBox();
    expect(box && box.y + box.height).toBeLessThanOrEqual(DESK.height);
    await shoot(page, "outlook-desk");
    await shoot(page, "outlook-desk-full", true);
  });

  it("moves the cursor with the arrow keys, and the bowl follows", async () => {
    const slider = page.getByRole("slider", { name: "Time of the night" });
    await slider.focus();
    const before = await slider.getAttribute("aria-valuetext");
    const bowl = await page.getByTestId("bowl").innerHTML();
    for (let presses = 0; presses < 6; presses += 1) await page.keyboard.press("ArrowRight");
    expect(await slider.getAttribute("aria-valuetext")).not.toBe(before);
    await expect.poll(() => page.getByTestId("bowl").innerHTML(), { timeout: 20_000 }).not.toBe(bowl);
    await page.keyboard.press("Home");
    expect(await slider.getAttribute("aria-valuenow")).toBe(await slider.getAttribute("aria-valuemin"));
    await page.keyboard.press("End");
    expect(await slider.getAttribute("aria-valuenow")).toBe(await slider.getAttribute("aria-valuemax"));
  });

  it("moves the cursor by dragging", async () => {
    const slider = page.getByRole("slider", { name: "Time of the night" });
    const strip = await page.locator(".strip svg").boundingBox();
    if (!strip) throw new Error("the strip has a place");
    await page.mouse.move(strip.x + strip.width * 0.3, strip.y + strip.height / 2);
    await page.mouse.down();
    const early = Number(await slider.getAttribute("aria-valuenow"));
    await page.mouse.move(strip.x + strip.width * 0.7, strip.y + strip.height / 2, { steps: 5 });
    await page.mouse.up();
    expect(Number(await slider.getAttribute("aria-valuenow"))).toBeGreaterThan(early + 10);
  });

  it("answers a new question, and says so when the answer is for an old one", async () => {
    await page.getByLabel("Cloud, tenths of the sky").selectOption("5");
    await page.getByText("The answer above is for the question before.").waitFor();
    await page.getByRole("button", { name: "Work it out" }).click();
    await page.getByText("The answer above is for the question before.").waitFor({ state: "detached" });
    expect(await page.getByText("Cloud counted in.").count()).toBe(1);
  });

  it("shows the program's own sentence and remedy for a bad value", async () => {
    await page.getByLabel("Kp by hand").fill("12");
    await page.getByRole("button", { name: "Work it out" }).click();
    const alert = page.getByRole("alert");
    await alert.waitFor();
    expect(await alert.innerText()).toMatch(/kp/i);
    expect(await alert.innerText()).toContain("What to do:");
    expect(await page.getByLabel("Kp by hand").getAttribute("aria-invalid")).toBe("true");
    await shoot(page, "outlook-refused");
  });

  it("says what the stored feeds lack, and why the agencies cannot be asked", async () => {
    await page.locator("summary", { hasText: "eeds stored" }).click();
    await page.getByRole("button", { name: "Ask the agencies now" }).click();
    await page.getByText("1 out of reach.", { exact: false }).waitFor();
    expect(await page.locator("details", { hasText: "out of reach" }).innerText()).toContain("noaa_kp_forecast");
    await page.getByLabel("what the agencies last said").check();
    await page.getByLabel("Cloud, tenths of the sky").selectOption("feeds");
    await page.getByRole("button", { name: "Work it out" }).click();
    await page.getByText("No space weather is stored", { exact: false }).waitFor();
    expect(await page.getByTestId("verdict").innerText()).toMatch(/cannot tell/i);
    await shoot(page, "outlook-feeds", true);
  });

  it("can be used with the keyboard alone", async () => {
    const reached = new Set<string>();
    for (let presses = 0; presses < 40; presses += 1) {
      await page.keyboard.press("Tab");
      const name = await page.evaluate(() => {
        const focused = document.activeElement;
        if (focused === document.body) return "the browser's own bar";
        const outline = focused ? getComputedStyle(focused).outlineStyle : "none";
        const label =
          focused?.getAttribute("aria-label") ?? focused?.closest("label")?.textContent ?? focused?.textContent;
        return `${label?.trim().replace(/\s+/g, " ")}${outline === "none" ? " WITHOUT RING" : ""}`;
      });
      reached.add(name);
    }
    const all = [...reached].join("\n");
    for (const wanted of ["Time of the night", "Dark eyes", "Outlook", "Site", "Kp by hand", "Work it out", "Mind"]) {
      expect(all).toContain(wanted);
    }
    expect(all).not.toContain("WITHOUT RING");
  });

  it("keeps the rules of accessibility, on the almanac too", async () => {
    expect(await breaches(page)).toEqual([]);
    await page.getByRole("link", { name: "Almanac" }).click();
    await page.getByText("Times of this night").waitFor();
    expect(await breaches(page)).toEqual([]);
    await shoot(page, "almanac-desk");
  });

  it("asks no other host, and stays small", async () => {
    const hosts = new Set<string>();
    const sizes: number[] = [];
    page.on("request", (request) => hosts.add(new URL(request.url()).host));
    page.on("response", (response) => {
      const isAsset = !response.url().includes("/api/");
      if (isAsset) sizes.push(Number(response.headers()["content-length"] ?? 0));
    });
    await page.reload();
    await page.getByTestId("bowl").locator("svg").waitFor();
    expect([...hosts]).toEqual([new URL(running.url).host]);
    expect(sizes.reduce((sum, size) => sum + size, 0)).toBeLessThan(300_000);
  });

  it("has a size for every hand", async () => {
    const small = await page.evaluate(() =>
      [...document.querySelectorAll("button, select, summary, nav a, input:not([type=radio], [type=checkbox])")]
        .filter((target) => target.getClientRects().length > 0)
        .filter((target) => target.getBoundingClientRect().height < 47.5)
        .map((target) => target.outerHTML.slice(0, 80)),
    );
    expect(small).toEqual([]);
  });
});
