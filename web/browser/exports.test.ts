import { readFileSync } from "node:fs";

import type { APIResponse, BrowserContext, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";

import type { OutlookReport, OutlookRequest } from "../src/generated/job";
import { breaches, DESK, mostGreenOrBlue, PHONE, Running, shoot } from "./program";

const BUTTONS = { card: "Field card", calendar: "Calendar", gpx: "GPX", geojson: "GeoJSON" } as const;
const KINDS = ["card", "calendar", "gpx", "geojson"] as const;
const PAPERS = ["A4", "Letter"] as const;

let running: Running;
let context: BrowserContext;

beforeAll(async () => {
  running = await Running.start();
});
afterAll(async () => running.stop());
beforeEach(async () => {
  context = await running.context(DESK);
});
afterEach(async () => context.close());

type Outing = { id: number; request: OutlookRequest; report: OutlookReport };

async function outings(): Promise<Outing[]> {
  const rows = (await (await context.request.get(`${running.url}api/outings`)).json()) as { id: number }[];
  return Promise.all(
    rows.map(async ({ id }) => {
      const answer = await context.request.get(`${running.url}api/outings/${id}`);
      return { ...((await answer.json()) as Outing), id };
    }),
  );
}

/** The main outing's request. */
async function mainRequest(): Promise<OutlookRequest> {
  const request = (await outings())[0]?.request;
  if (!request) throw new Error("the demo has an outing");
  return request;
}

function exported(kind: string, data: OutlookRequest): Promise<APIResponse> {
  return context.request.post(`${running.url}api/export/${kind}`, { data });
}

/** A card in a page of its own; what it asks for from anywhere is gathered. */
async function opened(html: string): Promise<{ page: Page; asked: string[] }> {
  const page = await context.newPage();
  const asked: string[] = [];
  page.on("request", (request) => asked.push(request.url()));
  await page.setContent(html);
  return { page, asked };
}

function pages(pdf: Buffer): number {
  return pdf.toString("latin1").match(/\/Type\s*\/Page\b(?!s)/g)?.length ?? 0;
}

/** More than any card will meet: long names and sources, many sites and windows, bitter weather. */
function crowded(request: OutlookRequest): OutlookRequest {
  const long = "The far end of the long shingle beyond the third gate, Skerrow Bay ".repeat(4);
  const other = request.elsewhere[0] ?? { site: request.site, weather: request.weather };
  const elsewhere = Array.from({ length: 14 }, (_, index) => ({
    weather: { ...other.weather, source: long },
    site: { ...other.site, name: `${index} ${long}`, drive_minutes: 10 + 9 * index },
  }));
  const thing = { name: long, bearing_deg: 0, distance_m: 50, height_m: 6, width_m: 8 };
  // cloud that comes and goes makes several windows; frost and wind make the longest words of the weather
  const hours = request.weather.hours.map((hour, index) => {
    const low = index % 3 === 1 ? 1 : 0;
    const cloud = { total: low, low, medium: 0, high: 0 };
    return { ...hour, cloud, temperature_c: -22, dew_point_c: -22, wind_m_s: 9, gust_m_s: 14 };
  });
  // all around, so that any pointing holds some
  const foreground = Array.from({ length: 18 }, (_, index) => ({ ...thing, bearing_deg: 20 * index }));
  const water = [{ from_deg: 0, to_deg: 359, sheltered: true }];
  return {
    ...request,
    site: { ...request.site, name: long, notes: long, foreground, water },
    kit: { ...request.kit, name: long },
    activity: { ...request.activity, source: long },
    weather: { ...request.weather, source: long, hours },
    elsewhere,
  };
}

describe("the field card", () => {
  it("prints on one page of either size, whatever the report", async () => {
    const requests = (await outings()).map(({ request }) => request);
    const first = await mainRequest();
    const blank: OutlookRequest = { ...first, activity: { ...first.activity, intervals: [] }, elsewhere: [] };
    for (const request of [...requests, crowded(first), blank]) {
      const { page, asked } = await opened(await (await exported("card", request)).text());
      for (const format of PAPERS) {
        const pdf = await page.pdf({ format });
        expect(pages(pdf), `${request.site.name.slice(0, 30)} on ${format}`).toBe(1);
      }
      expect(asked).toEqual([]);
      await page.close();
    }
  });

  it("keeps a name that is a script a name", async () => {
    const request = await mainRequest();
    const name = `<script>document.title="run"</script><img src=x onerror=document.title="run">`;
    const hostile = { ...request, site: { ...request.site, name }, elsewhere: [] };
    const response = await exported("card", hostile);
    expect(response.headers()["content-disposition"]).toMatch(/^attachment; filename="quietarc-[a-z0-9-]+\.html"$/);
    const { page } = await opened(await response.text());
    expect(await page.locator("script, img").count()).toBe(0);
    expect(await page.locator("h1").innerText()).toContain("<script>document.title=");
    expect(await page.title()).not.toBe("run");
  });

  it("is red on black on a screen until desk light is switched on, and keeps the rules of accessibility", async () => {
    const request = await mainRequest();
    const html = await (await exported("card", request)).text();
    for (const [name, viewport] of [
      ["phone", PHONE],
      ["desk", { width: 1280, height: 800 }],
    ] as const) {
      const { page } = await opened(html);
      await page.setViewportSize(viewport);
      expect(await mostGreenOrBlue(context, await shoot(page, `card-dark-${name}`, true))).toBe(0);
      const wide = await page.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
      );
      expect(wide).toBeLessThanOrEqual(0);
      await page.getByText("Desk light").click();
      expect(await mostGreenOrBlue(context, await shoot(page, `card-light-${name}`, true))).toBe(255);
      expect(await breaches(page)).toEqual([]);
      await page.close();
    }
  });
});

describe("the buttons of the outlook", () => {
  it("save each document under the program's name, with its own bytes", async () => {
    const page = await running.outlook(context);
    const request = await mainRequest();
    for (const kind of KINDS) {
      const download = page.waitForEvent("download");
      await page.getByRole("button", { name: BUTTONS[kind], exact: true }).click();
      const file = await download;
      const name = file.suggestedFilename();
      expect(name).toMatch(/^quietarc-skerrow-bay-invented-2015-03-17\.(html|ics|gpx|geojson)$/);
      await page.getByText(`Saved as ${name}.`).waitFor();
      expect(readFileSync(await file.path(), "utf8")).toBe(await (await exported(kind, request)).text());
    }
    await page.getByRole("heading", { name: "Take it along" }).scrollIntoViewIfNeeded();
    await shoot(page, "exports-desk");
  });

  it("say why there is no calendar for a night without a window", async () => {
    const page = await running.outlook(context);
    await page.getByLabel("Kp by hand").fill("0");
    await page.getByLabel("Cloud, tenths of the sky").selectOption("10");
    await page.getByRole("button", { name: "Work it out" }).click();
    await page.getByText("The answer above is for the question before.").waitFor({ state: "detached" });
    await page.getByText("No stretch of this night stands out.").waitFor();
    await page.getByRole("button", { name: "Calendar", exact: true }).click();
    const alert = page.getByRole("alert");
    await alert.waitFor();
    expect(await alert.innerText()).toContain("field card");
    await shoot(page, "exports-refused");
  });

  it("are large, labelled, and reached by the keyboard, on the phone too", async () => {
    for (const viewport of [PHONE, { width: 1280, height: 800 }]) {
      const small = await running.context(viewport);
      const page = await running.outlook(small);
      for (const name of Object.values(BUTTONS)) {
        const button = page.getByRole("button", { name, exact: true });
        const box = await button.boundingBox();
        expect(box && Math.min(box.width, box.height)).toBeGreaterThanOrEqual(48);
        expect(await button.getAttribute("aria-describedby")).toBeTruthy();
      }
      await page.getByRole("button", { name: "Field card" }).focus();
      await page.keyboard.press("Tab");
      expect(await page.evaluate(() => document.activeElement?.textContent?.trim())).toBe("Calendar");
      const download = page.waitForEvent("download");
      await page.keyboard.press("Enter");
      expect((await download).suggestedFilename()).toMatch(/\.ics$/);
      await page.getByRole("heading", { name: "Take it along" }).scrollIntoViewIfNeeded();
      await shoot(page, `exports-${viewport.width}`);
      expect(await breaches(page)).toEqual([]);
      await small.close();
    }
  });
});
