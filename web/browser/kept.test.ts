import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

import type { BrowserContext, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";

import { breaches, DESK, PHONE, Running, shoot } from "./program";

/** Red alone fails the contrast rule of text in places by design: a brighter ink would cost the eye its adaptation. */
const RULES_FOR_LIT_PAGES = ["color-contrast"];

let running: Running;
let context: BrowserContext;
let folder: string;

beforeAll(async () => {
  running = await Running.start();
  folder = mkdtempSync(join(tmpdir(), "quietarc-places-"));
});
afterAll(async () => {
  rmSync(folder, { recursive: true, force: true });
  await running.stop();
});
afterEach(async () => context.close());

async function open(name: "Sites" | "Kits", viewport = DESK): Promise<Page> {
  context = await running.context(viewport);
  const page = await running.outlook(context);
  // on a phone it stands behind one more key
  const more = page.getByRole("button", { name: "More", exact: true });
  if (await more.isVisible()) await more.click();
  await page.getByRole("link", { name, exact: true }).click();
  await page.getByRole("heading", { name: name === "Sites" ? "Places to stand" : "Cameras and lenses" }).waitFor();
  return page;
}

const site = (page: Page, name: string) => page.getByTestId("site").filter({ hasText: name });
const kit = (page: Page, name: string) => page.getByTestId("kit").filter({ hasText: name });

async function noSidewaysScroll(page: Page): Promise<void> {
  const { wide, seen } = await page.evaluate(() => ({
    wide: document.documentElement.scrollWidth,
    seen: document.documentElement.clientWidth,
  }));
  expect(wide).toBeLessThanOrEqual(seen);
}

/** Controls lower than a gloved finger needs. */
async function smallTargets(page: Page): Promise<string[]> {
  return page.evaluate(() =>
    [...document.querySelectorAll("main :is(button, input:not([type=checkbox]), select, textarea, summary)")]
      .filter((target) => target.getBoundingClientRect().height < 47.5)
      .map((target) => target.outerHTML.slice(0, 80)),
  );
}

async function fillSite(page: Page, name: string): Promise<void> {
  await page.getByRole("button", { name: "Add a site" }).click();
  await page.getByLabel("Name", { exact: true }).fill(name);
  await page.getByLabel(/^Latitude/).fill("69,02");
  await page.getByLabel(/^Longitude/).fill("15.90");
}

describe("sites", () => {
  it("are listed with their skylines and keep the rules of accessibility", async () => {
    const page = await open("Sites");
    await site(page, "Skerrow Bay").locator("svg").waitFor();
    expect(await site(page, "Skerrow Bay").innerText()).toContain("69.1500° N, 15.6500° E");
    expect(await site(page, "Skerrow Bay").locator("svg > desc").textContent()).toContain("highest at bearing 150°");
    await page.waitForLoadState("networkidle");
    expect(await breaches(page)).toEqual([]);
    await shoot(page, "sites-desk");
  });

  it("are added from the keyboard, changed, offered to the outlook, and removed after a second press", async () => {
    const page = await open("Sites");
    await page.getByRole("button", { name: "Add a site" }).focus();
    await page.keyboard.press("Enter");
    await page.getByRole("heading", { name: "A new site" }).waitFor();
    await page.keyboard.press("Tab");
    await page.keyboard.type("Gull Ness (invented)");
    await page.keyboard.press("Tab");
    await page.keyboard.type("69.02");
    await page.keyboard.press("Tab");
    await page.keyboard.type("15.90");
    await page.getByRole("button", { name: "Add a corner" }).click();
    await page.getByLabel("Azimuth °").fill("180");
    await page.getByLabel("Altitude °").fill("12");
    await page.getByRole("button", { name: "Add water" }).click();
    await page.getByLabel("From °").fill("300");
    await page.getByLabel("To °").fill("30");
    await page.getByLabel("sheltered").check();
    await page.getByRole("button", { name: "Add an object" }).click();
    await page.getByRole("group", { name: "In front", exact: true }).getByLabel("Name").fill("<script>hut</script>");
    await page.getByLabel("Bearing °").fill("350");
    await page.getByLabel("Distance m").fill("40");
    await page.getByLabel("Height m").fill("5");
    await page.getByLabel("Width m").fill("8");
    const words = () => page.getByTestId("skyline").locator("svg > desc").textContent();
    await expect.poll(words).toContain("<script>hut</script> at bearing 350°, 40 m away");
    expect(await breaches(page)).toEqual([]);
    await shoot(page, "site-form-desk", true);
    await page.getByRole("button", { name: "Keep this site" }).click();
    await page.getByText("Gull Ness (invented) is kept.").waitFor();
    expect(await page.evaluate(() => document.activeElement?.textContent)).toBe("Places to stand");

    await page.getByRole("button", { name: "Change Gull Ness" }).click();
    expect(await page.getByLabel(/^Latitude/).inputValue()).toBe("69.02");
    await page.getByLabel(/^How dark/).selectOption("bortle");
    await page.getByRole("button", { name: "Keep the changes" }).click();
    await page.getByText("Gull Ness (invented) is kept.").waitFor();
    await expect.poll(() => site(page, "Gull Ness").innerText()).toContain("Bortle 4");

    await page.getByRole("link", { name: "Outlook" }).click();
    await page.getByText("Ask again").waitFor();
    const offered = page
      .locator("form label")
      .filter({ hasText: /^\s*Site/ })
      .locator("option");
    expect(await offered.allTextContents()).toContain("Gull Ness (invented)");

    await page.getByRole("link", { name: "Sites", exact: true }).click();
    const remove = site(page, "Gull Ness").getByRole("button", { name: /remove/i });
    await remove.click();
    expect(await site(page, "Gull Ness").count()).toBe(1);
    await remove.click();
    await page.getByText("Gull Ness (invented) is removed.").waitFor();
    await expect.poll(() => site(page, "Gull Ness").count()).toBe(0);
  });

  it("take a place as a map gives it, and a corner where the drawing is pressed", async () => {
    const page = await open("Sites");
    await page.getByRole("button", { name: "Add a site" }).click();
    const latitude = page.getByLabel(/^Latitude/);
    await latitude.focus();
    await latitude.evaluate((field) => {
      const clipboardData = new DataTransfer();
      clipboardData.setData("text", "69.15, 15.65");
      field.dispatchEvent(new ClipboardEvent("paste", { clipboardData, bubbles: true, cancelable: true }));
    });
    expect(await page.getByLabel(/^Longitude/).inputValue()).toBe("15.65");
    const drawing = page.getByTestId("skyline").locator("svg");
    await drawing.waitFor();
    const box = await drawing.boundingBox();
    if (!box) throw new Error("the drawing has a place");
    // the middle of the drawing is north
    await page.mouse.click(box.x + box.width / 2, box.y + box.height * 0.3);
    const azimuth = Number(await page.getByLabel("Azimuth °").inputValue());
    expect(Math.min(azimuth, 360 - azimuth)).toBeLessThan(8);
    expect(Number(await page.getByLabel("Altitude °").inputValue())).toBeGreaterThan(4);
  });

  it("say what is wrong and where: no number, out of range, a name that is taken, an outing that hangs on it", async () => {
    const page = await open("Sites");
    await fillSite(page, "Skerrow Bay (invented)");
    const keep = page.getByRole("button", { name: "Keep this site" });
    const error = page.getByRole("alert");
    await page.getByLabel(/^Longitude/).fill("");
    await keep.click();
    expect(await error.innerText()).toContain("Longitude is missing");
    await page.getByLabel(/^Longitude/).fill("15.9");
    await page.getByLabel(/^Latitude/).fill("95");
    await keep.click();
    await expect.poll(() => error.innerText()).toContain("latitude in degrees 95 is outside -90 to 90");
    expect(await page.getByLabel(/^Latitude/).getAttribute("aria-invalid")).toBe("true");
    await page.getByLabel(/^Latitude/).fill("69");
    await keep.click();
    await expect.poll(() => error.innerText()).toContain("already a site named");
    expect(await page.getByLabel("Name", { exact: true }).getAttribute("aria-invalid")).toBe("true");
    await page.getByRole("button", { name: "Back without keeping" }).click();
    const remove = site(page, "Skerrow Bay").getByRole("button", { name: /remove/i });
    await remove.click();
    await remove.click();
    await expect.poll(() => error.innerText()).toContain("an outing uses it");
    expect(await site(page, "Skerrow Bay").count()).toBe(1);
  });

  it("come from a file, and what was left out is said", async () => {
    const page = await open("Sites");
    const file = join(folder, "waypoints.gpx");
    const good = "<wpt lat='69.4' lon='15.1'><name>Tern Rock (invented)</name></wpt>";
    writeFileSync(file, `<gpx version="1.1">${good}<wpt lat="99" lon="1"><name>Nowhere</name></wpt></gpx>`);
    await page.getByLabel("Import a file").setInputFiles(file);
    const report = page.getByTestId("import-report");
    await report.waitFor();
    expect(await report.innerText()).toContain("1 kept, 1 left out");
    expect(await report.innerText()).toContain("latitude in degrees 99");
    await site(page, "Tern Rock").waitFor();
    await shoot(page, "sites-import-desk");
  });

  it("fit the phone, list and form, with a size for every hand", async () => {
    const page = await open("Sites", PHONE);
    await page.waitForLoadState("networkidle");
    await noSidewaysScroll(page);
    expect(await smallTargets(page)).toEqual([]);
    expect(await breaches(page)).toEqual([]);
    await shoot(page, "sites-phone");
    await shoot(page, "sites-phone-full", true);
    await page.getByRole("button", { name: "Change Skerrow Bay" }).click();
    await page.getByTestId("skyline").locator("svg").waitFor();
    await noSidewaysScroll(page);
    expect(await smallTargets(page)).toEqual([]);
    expect(await breaches(page)).toEqual([]);
    await shoot(page, "site-form-phone-full", true);
    await page.evaluate(() => (document.documentElement.style.fontSize = "200%"));
    await noSidewaysScroll(page);
  });

  it("keep to red for dark eyes", async () => {
    const page = await open("Sites", PHONE);
    await page.getByRole("button", { name: "Dark eyes" }).click();
    await page.getByText("min since white light").first().waitFor();
    await page.getByRole("button", { name: "Change Skerrow Bay" }).click();
    await page.waitForLoadState("networkidle");
    await page.getByTestId("skyline").locator("svg").waitFor();
    const colours = await page.evaluate(() =>
      [...document.querySelectorAll("main *")].flatMap((element) => {
        const style = getComputedStyle(element);
        return [style.color, style.backgroundColor, style.fill, style.stroke, style.borderTopColor];
      }),
    );
    const notRed = colours.filter((colour) => {
      const [, green, blue, opacity] = /rgba?\(\d+, (\d+), (\d+)(?:, ([\d.]+))?\)/.exec(colour) ?? [];
      return opacity !== "0" && Number(green ?? 0) + Number(blue ?? 0) > 0;
    });
    expect([...new Set(notRed)]).toEqual([]);
    expect(await breaches(page, RULES_FOR_LIT_PAGES)).toEqual([]);
    await shoot(page, "site-form-dark-phone-full", true);
  });
});

describe("kits", () => {
  it("begin with classes, are changed and removed", async () => {
    const page = await open("Kits");
    expect(await breaches(page)).toEqual([]);
    await page.getByRole("button", { name: "Add a kit" }).click();
    const numbers = page.getByText("Numbers of camera and lens");
    await numbers.click();
    await page.getByLabel("Camera of the class").selectOption("phone-medium");
    // a phone brings its lens
    expect(await page.getByLabel(/^Focal length/).inputValue()).toBe("6.8");
    await page.getByLabel("Camera of the class").selectOption("aps-c-26");
    await page.getByLabel("Lens of the class").selectOption("14-1.8");
    expect(await page.getByLabel("Name of the kit").inputValue()).toBe("APS-C, 26 MP, 14 mm f/1.8");
    await page.getByLabel(/^Full well/).fill("0");
    expect(await breaches(page)).toEqual([]);
    await shoot(page, "kit-form-desk", true);
    await numbers.click();
    expect(await page.getByLabel(/^Full well/).isVisible()).toBe(false);
    await page.getByRole("button", { name: "Keep this kit" }).click();
    // what is wrong comes into sight
    await expect.poll(() => page.getByRole("alert").innerText()).toContain("full_well_e: 0 is outside");
    expect(await page.getByLabel(/^Full well/).getAttribute("aria-invalid")).toBe("true");
    await page.getByLabel(/^Full well/).fill("45000");
    await page.getByLabel("Name of the kit").fill("Second camera");
    await page.getByRole("button", { name: "Keep this kit" }).click();
    await page.getByText("Second camera is kept.").waitFor();
    expect(await kit(page, "Second camera").innerText()).toContain("23.5 × 15.6 mm");
    await page.getByRole("button", { name: "Change Second camera" }).click();
    await page.getByLabel("Name of the kit").fill("Third camera");
    await page.getByRole("button", { name: "Keep the changes" }).click();
    await page.getByText("Third camera is kept.").waitFor();
    const remove = kit(page, "Third camera").getByRole("button", { name: /remove/i });
    await remove.click();
    await remove.click();
    await page.getByText("Third camera is removed.").waitFor();
  });

  it("fit the phone, list and form", async () => {
    const page = await open("Kits", PHONE);
    await noSidewaysScroll(page);
    await shoot(page, "kits-phone");
    await page.getByRole("button", { name: "Add a kit" }).click();
    await noSidewaysScroll(page);
    expect(await smallTargets(page)).toEqual([]);
    expect(await breaches(page)).toEqual([]);
    await shoot(page, "kit-form-phone-full", true);
  });
});
