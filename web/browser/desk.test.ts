import { readFileSync } from "node:fs";
import { resolve } from "node:path";

import type { BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";

import { breaches, DESK, mostGreenOrBlue, PHONE, Running, shoot } from "./program";

const FRAME = readFileSync(resolve(import.meta.dirname, "../../crates/quietarc/data/test_frame.composed.jpg"));
const SCRIPT = "<img src=x onerror=\"document.title='taken over'\"><script>document.title='taken over'</script>";

let running: Running;
beforeAll(async () => {
  running = await Running.start();
});
afterAll(async () => {
  await running.stop();
});

/** The test frame with a script as the program that wrote it (EXIF 2.32, tag 0x0131). */
function withProgram(words: string): Buffer {
  const text = Buffer.from(`${words}\0`);
  const head = Buffer.from("Exif\0\0II*\0\x08\0\0\0\x01\0\x31\x01\x02\0\0\0\0\0\x1a\0\0\0\0\0\0\0", "latin1");
  head.writeUInt32LE(text.length, 20);
  const content = Buffer.concat([head, text]);
  const length = Buffer.alloc(2);
  length.writeUInt16BE(content.length + 2);
  return Buffer.concat([FRAME.subarray(0, 2), Buffer.from([0xff, 0xe1]), length, content, FRAME.subarray(2)]);
}

/** A link for viewers, made by the program. */
async function link(context: BrowserContext): Promise<string> {
  const data = { label: `Tonight ${SCRIPT}`, time_zone: "Europe/Oslo", days: 1, most_pictures: 50 };
  const answer = await context.request.post(`${running.url}api/desk/links`, { data });
  expect(answer.status()).toBe(200);
  return new URL(((await answer.json()) as { path: string }).path, running.url).href;
}

/** Sends the test frame as a viewer does, each time with other bytes. */
async function send(page: Page, address: string, name: string, boxes: string[], frame: Buffer = FRAME): Promise<void> {
  await page.goto(address);
  const buffer = Buffer.concat([frame, Buffer.from(name)]);
  await page.setInputFiles("input[type=file]", { name: `${SCRIPT}.jpg`, mimeType: "text/html", buffer });
  await page.fill("#when", "2026-03-14T23:40");
  await page.fill("#place", SCRIPT);
  await page.fill("#name", name);
  await page.fill("#caption", SCRIPT);
  for (const box of ["own", ...boxes]) await page.check(`input[name=${box}]`);
  await page.getByRole("button", { name: "Send" }).click();
  await page.getByText("Thank you").first().waitFor();
}

async function board(context: BrowserContext): Promise<Page> {
  const page = await context.newPage();
  await page.goto(`${running.url}#/desk`);
  await page.getByTestId("one").waitFor();
  return page;
}

test("a viewer's picture goes from the phone to the rundown, and its words stay words", async () => {
  const phone = await running.context(PHONE);
  const address = await link(phone);
  const sender = await phone.newPage();
  await sender.goto(address);
  await shoot(sender, "send-phone", true);
  expect(await breaches(sender)).toEqual([]);
  await send(sender, address, `Ada ${SCRIPT}`, ["on_air"]);
  await send(sender, address, "Bo", []);
  await shoot(sender, "send-thanks-phone", true);

  const desk = await running.context(DESK);
  const page = await board(desk);
  await page.locator('button[data-id="2"]').click();
  // Bo has permitted nothing: the gate is shut
  await page.getByText("The gate is shut for air").waitFor();
  expect(await page.getByRole("button", { name: "Into the rundown" }).isDisabled()).toBe(true);
  await page.locator('button[data-id="1"]').click();
  await page.getByText("The gate is open for air").waitFor();
  await page.locator("#page h1").click();
  await page.keyboard.press("r");
  await page.getByTestId("rundown").getByText("Ada").waitFor();
  await page.locator('[data-testid="one"] img').waitFor();
  // both sent the same picture: each names the other, whichever was measured first
  await page.getByTestId("alike").getByRole("button", { name: "Number 2" }).waitFor({ timeout: 40_000 });
  await page.keyboard.press("?");
  await page.getByTestId("keys").getByText("only inconsistent ones").waitFor();
  await shoot(page, "desk-board", true);
  expect(await breaches(page)).toEqual([]);
  await page.keyboard.press("?");
  await page.getByTestId("keys").waitFor({ state: "detached" });
  await page.keyboard.press("2");
  await expect.poll(() => page.locator("button[data-id]").count()).toBeLessThan(2);
  await page.keyboard.press("0");
  await expect.poll(() => page.locator("button[data-id]").count()).toBe(2);
  await page.getByRole("button", { name: "Let copies out" }).click();
  await page.getByTestId("left").getByText("1 copies are in").waitFor();
  expect(await page.title()).toBe("Desk · Quietarc");
  expect(await page.locator("img[src=x]").count()).toBe(0);

  // withdrawn after it was let out: told where the copy went, and out of the rundown
  await page.getByRole("button", { name: "Withdraw", exact: true }).click();
  await page.getByRole("button", { name: "Withdraw number 1" }).click();
  await page.getByText("Copies that left before; have them removed:").waitFor();
  await page.getByTestId("rundown").waitFor({ state: "detached" });
  await phone.close();
  await desk.close();
});

test("two desks on one picture: the second sees both texts and loses neither", async () => {
  const context = await running.context(DESK);
  const address = await link(context);
  const sender = await context.newPage();
  await send(sender, address, "Cai", ["on_air"], withProgram(SCRIPT));
  const [one, other] = [await board(context), await board(context)];
  for (const page of [one, other]) {
    await page.locator("button[data-id]").first().click();
    await page.getByLabel("Notes of the desk").waitFor();
  }
  await other.getByLabel("Notes of the desk").fill("his words");
  await one.getByLabel("Notes of the desk").fill("her words");
  await one.getByRole("button", { name: "Keep", exact: true }).click();
  await one.getByText("fields, by desk").first().waitFor({ state: "attached" });
  await other.getByRole("button", { name: "Keep", exact: true }).click();
  await other.getByText("There stands now: “her words”").waitFor();
  expect(await other.getByLabel("Notes of the desk").inputValue()).toBe("his words");
  await other.getByRole("button", { name: "Keep mine all the same" }).click();
  await other.getByRole("button", { name: "Keep mine all the same" }).waitFor({ state: "detached" });
  // the file's own words are text as well
  await one.getByText("written last by").first().waitFor({ state: "attached", timeout: 40_000 });
  expect(await one.getByText("written last by").first().textContent()).toContain("<script>document.title");
  expect(await one.title()).toBe("Desk · Quietarc");
  expect(await one.locator("img[src=x]").count()).toBe(0);
  await context.close();
});

/** Takes a picture in as the desk does, with bytes of its own. */
async function drop(context: BrowserContext, name: string): Promise<number> {
  const buffer = Buffer.concat([FRAME, Buffer.from(name)]);
  const multipart = { picture: { name: `${name}.jpg`, mimeType: "image/jpeg", buffer } };
  const taken = await context.request.post(`${running.url}api/desk/submissions`, { multipart });
  return ((await taken.json()) as { id: number }).id;
}

test("keys act on the picture that is shown, and never on the one before", async () => {
  const context = await running.context(DESK);
  const older = await drop(context, "keys older");
  const newer = await drop(context, "keys newer");
  const page = await board(context);
  const rows = page.locator("button[data-id]");
  await expect.poll(() => rows.first().getAttribute("data-id")).toBe(String(newer));
  expect(await rows.nth(1).getAttribute("data-id")).toBe(String(older));
  await rows.first().click();
  await page.getByRole("button", { name: "Record permission" }).click();
  await page.getByRole("checkbox", { name: "on air" }).check();
  await page.locator("#page h1").click();

  const written: string[] = [];
  page.on("request", (request) => {
    if (request.method() !== "GET") written.push(new URL(request.url()).pathname);
  });
  let letGo = (): void => undefined;
  const held = new Promise<void>((done) => (letGo = done));
  const address = new RegExp(`/api/desk/submissions/${older}\\?`);
  await page.route(address, async (route) => {
    await held;
    await route.continue();
  });
  for (const key of ["j", "c", "h", "r"]) await page.keyboard.press(key);
  await page.getByRole("heading", { name: `Number ${older} is being read` }).waitFor();
  letGo();
  await page.getByTestId("permission").waitFor();
  expect(written).toEqual([]);

  // the next sender's form opens empty
  await page.getByRole("button", { name: "Record permission" }).click();
  expect(await page.getByRole("checkbox", { name: "on air" }).isChecked()).toBe(false);
  await page.locator("#page h1").click();
  await page.keyboard.press("c");
  await page.getByRole("button", { name: "Clear", pressed: true }).waitFor();
  await page.keyboard.press("h");
  await page.getByRole("button", { name: "Hold", pressed: true }).waitFor();
  const path = `/api/desk/submissions/${older}/state`;
  expect(written).toEqual([path, path]);
  await page.keyboard.press("k");
  await page.getByRole("heading", { name: `Number ${newer}` }).waitFor();
  await context.close();
});

test("a place can be given on the page, and another word leaves it as it was", async () => {
  const context = await running.context(DESK);
  const id = await drop(context, "without a place");
  const page = await board(context);
  await page.locator(`button[data-id="${id}"]`).click();
  await page.getByRole("heading", { name: `Number ${id}` }).waitFor();
  const form = page.getByRole("form", { name: "What is said of it" });
  const [latitude, longitude] = [form.getByLabel("Latitude"), form.getByLabel("Longitude")];
  const keep = form.getByRole("button", { name: "Keep", exact: true });
  type Stored = { claim: { position: { latitude_deg: number; longitude_deg: number } | null }; state: string };
  const stored = async (): Promise<Stored> => {
    const answer = await context.request.get(`${running.url}api/desk/submissions/${id}?exact=true`);
    return (await answer.json()) as Stored;
  };
  await latitude.fill("93");
  await longitude.fill("16.123");
  await keep.click();
  await form.getByText("“93” is no latitude").waitFor();
  expect((await stored()).claim.position).toBeNull();
  await latitude.fill("69.345");
  await keep.click();
  await expect.poll(async () => (await stored()).claim.position?.latitude_deg).toBe(69.345);
  // what is shown is rounded; it is not sent back so with another word
  await expect.poll(() => latitude.inputValue()).toBe("69.3");
  await form.getByLabel("Caption").fill("over the bay");
  await keep.click();
  await expect.poll(() => keep.isDisabled()).toBe(true);
  expect((await stored()).claim.position).toMatchObject({ latitude_deg: 69.345, longitude_deg: 16.123 });
  await latitude.fill("58.2");
  await keep.click();
  await form.getByText("the longitude is shown rounded").waitFor();
  await form.getByRole("button", { name: "Show exactly" }).click();
  await longitude.fill("7.9");
  await keep.click();
  await expect.poll(async () => (await stored()).claim.position?.longitude_deg).toBe(7.9);
  // checked again against the new place
  await expect.poll(async () => (await stored()).state, { timeout: 40_000 }).toBe("checked");
  for (const field of [latitude, longitude]) await field.fill("");
  await keep.click();
  await expect.poll(async () => (await stored()).claim.position).toBeNull();
  await context.close();
});

test("map and time show what is asked for, and lead to the picture", async () => {
  const context = await running.context(DESK);
  const { request } = context;
  const claims = [
    { at: "2026-03-14T21:00:00Z", latitude_deg: 69.3, longitude_deg: 16.1 },
    { at: "2026-03-15T02:00:00Z", latitude_deg: 58.2, longitude_deg: 7.9 },
  ];
  const ids: number[] = [];
  for (const [index, { at, ...place }] of claims.entries()) {
    const buffer = Buffer.concat([FRAME, Buffer.from(`placed ${index}`)]);
    const multipart = { picture: { name: "placed.jpg", mimeType: "image/jpeg", buffer } };
    const taken = await request.post(`${running.url}api/desk/submissions`, { multipart });
    const { id } = (await taken.json()) as { id: number };
    const position = { ...place, height_m: 0 };
    const claim = { time_text: "", at, place_text: "Skerrow", position };
    const { version } = (await (await request.get(`${running.url}api/desk/submissions/${id}`)).json()) as {
      version: number;
    };
    const fields = { claim, credit_name: "Di", contact: "", caption: "", notes: "" };
    const data = { version, by: "desk", fields, keeps_position: false };
    expect((await request.put(`${running.url}api/desk/submissions/${id}`, { data })).status()).toBe(200);
    ids.push(id);
  }
  const page = await board(context);
  const points = page.locator("svg.map .point");
  await expect.poll(() => points.count()).toBe(2);
  // north is up: the one further north stands higher
  const heights = await points.evaluateAll((all) => all.map((one) => one.getBoundingClientRect().y));
  expect(new Set(heights).size).toBe(2);
  await page.getByText("By verdict, form, place, time").click();
  await page.getByLabel("Claimed from, UTC").fill("2026-03-15T00:00");
  await page.getByLabel("Claimed from, UTC").press("Tab");
  await expect.poll(() => points.count()).toBe(1);
  await points.first().click();
  await page.getByRole("heading", { name: `Number ${ids[1]}` }).waitFor();
  await page.getByRole("button", { name: "Ask for all again" }).click();
  await expect.poll(() => points.count()).toBe(2);
  await context.close();
});

test("on a phone the chosen picture comes into sight", async () => {
  const context = await running.context(PHONE);
  const page = await board(context);
  await page.locator("button[data-id]").last().click();
  await expect.poll(() => page.locator("#one").evaluate((one) => one.getBoundingClientRect().top)).toBeLessThan(200);
  await page.getByRole("button", { name: "Arrivals" }).click();
  await expect
    .poll(() => page.locator("#arrivals").evaluate((one) => one.getBoundingClientRect().top))
    .toBeLessThan(200);
  await context.close();
});

test("adapted eyes see red alone, and a phone reads the board", async () => {
  const context = await running.context(PHONE);
  const page = await board(context);
  await shoot(page, "desk-phone", true);
  const width = await page.evaluate(() => document.documentElement.scrollWidth);
  expect(width).toBeLessThanOrEqual(PHONE.width);
  await page.evaluate(() => localStorage.setItem("quietarc.palette", "dark_eyes"));
  await page.reload();
  await page.getByRole("button", { name: "Show the pictures, dim and red" }).click();
  await page.locator("img").first().waitFor();
  expect(await mostGreenOrBlue(context, await shoot(page, "desk-dark-phone", true))).toBe(0);
  await context.close();
});
