import { type ChildProcess, spawn } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";

import { type Browser, type BrowserContext, chromium, type Page } from "playwright-core";

const BINARY = process.env["QUIETARC_BIN"] ?? resolve(import.meta.dirname, "../../target/debug/quietarc");
const START_MS = 60_000;
const SHOTS = resolve(import.meta.dirname, "shots");

const CHROMIUM_ARGUMENTS = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

/** Every feed but one switched off, and that one where nobody answers: a test asks nobody. */
const NO_NETWORK = [
  "noaa_rtsw_mag",
  "noaa_rtsw_wind",
  "noaa_propagated",
  "noaa_kp_3h",
  "noaa_kp_1m",
  "noaa_ovation",
  "noaa_hemi_power",
  "noaa_3day",
  "noaa_27day",
  "gfz_kp",
  "metno_locationforecast",
  "nws_points",
  "nws_gridpoints",
  "metar",
  "taf",
]
  .map((feed) => `[feeds.${feed}]\noff = true\n`)
  .concat('[feeds.noaa_kp_forecast]\nurl = "http://127.0.0.1:9/kp.json"\n')
  .join("");

export const DESK = { width: 1440, height: 900 };
export const PHONE = { width: 390, height: 844 };

/** The real program with a fresh demo journal on a free port, and a browser to look at it. */
export class Running {
  private constructor(
    readonly url: string,
    private program: ChildProcess,
    private readonly browser: Browser,
    private readonly folder: string,
  ) {}

  /** With more arguments for the demo that it starts. */
  static async start(more: string[] = []): Promise<Running> {
    const folder = mkdtempSync(join(tmpdir(), "quietarc-browser-"));
    const settings = join(folder, "settings.toml");
    writeFileSync(settings, NO_NETWORK);
    const program = spawn(
      BINARY,
      ["demo", "--no-night", "--journal", join(folder, "demo.sqlite"), "--settings", settings, "--port", "0", ...more],
      { stdio: ["ignore", "pipe", "inherit"] },
    );
    try {
      const url = await address(program);
      const executablePath = process.env["CHROMIUM"] ?? "chromium";
      const browser = await chromium.launch({
        executablePath: executablePath.includes("/") ? executablePath : onPath(executablePath),
        args: CHROMIUM_ARGUMENTS,
      });
      return new Running(url, program, browser, folder);
    } catch (failure) {
      program.kill();
      throw failure;
    }
  }

  async context(viewport: { width: number; height: number }): Promise<BrowserContext> {
    return this.browser.newContext({ viewport, reducedMotion: "reduce" });
  }

  /** A fresh page with the outlook on it; messages of the console that tell of trouble are gathered. */
  async outlook(context: BrowserContext): Promise<Page> {
    const page = await context.newPage();
    await page.goto(this.url);
    await page.getByTestId("verdict").waitFor();
    await page.locator(".strip svg").waitFor();
    await page.getByTestId("bowl").locator("svg").waitFor();
    return page;
  }

  /** Ends the program and starts it again on the same journal, at the same address. */
  async restart(): Promise<void> {
    const gone = new Promise((done) => this.program.once("exit", done));
    this.program.kill();
    await gone;
    const journal = join(this.folder, "demo.sqlite");
    const settings = join(this.folder, "settings.toml");
    const { port } = new URL(this.url);
    this.program = spawn(BINARY, ["serve", "--journal", journal, "--settings", settings, "--port", port], {
      stdio: ["ignore", "pipe", "inherit"],
    });
    await address(this.program);
  }

  async stop(): Promise<void> {
    await this.browser.close();
    this.program.kill();
    rmSync(this.folder, { recursive: true, force: true });
  }
}

/** Saves what a page looks like, for people. */
export async function shoot(page: Page, name: string, fullPage = false): Promise<Buffer> {
  mkdirSync(SHOTS, { recursive: true });
  return page.screenshot({ path: join(SHOTS, `${name}.png`), fullPage });
}

/** The greatest green or blue value of any pixel in a picture: 0 in one that is red alone. */
export async function mostGreenOrBlue(context: BrowserContext, png: Buffer): Promise<number> {
  const bench = await context.newPage();
  const most = await bench.evaluate(async (base64) => {
    const picture = new Image();
    picture.src = `data:image/png;base64,${base64}`;
    await picture.decode();
    const canvas = new OffscreenCanvas(picture.width, picture.height);
    const pen = canvas.getContext("2d");
    if (!pen) throw new Error("no canvas");
    pen.drawImage(picture, 0, 0);
    const { data } = pen.getImageData(0, 0, picture.width, picture.height);
    let found = 0;
    for (let at = 0; at < data.length; at += 4) found = Math.max(found, data[at + 1] ?? 0, data[at + 2] ?? 0);
    return found;
  }, png.toString("base64"));
  await bench.close();
  return most;
}

type Violation = { id: string; help: string; nodes: { target: unknown[]; failureSummary?: string }[] };

/** Breaches of the accessibility rules, one line each. */
export async function breaches(page: Page, switchedOff: string[] = []): Promise<string[]> {
  const source = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
  await page.evaluate(source);
  const violations = await page.evaluate(async (off) => {
    type Axe = { run: (options: object) => Promise<{ violations: unknown }> };
    const axe = (globalThis as unknown as { axe: Axe }).axe;
    const rules = Object.fromEntries(off.map((rule) => [rule, { enabled: false }]));
    return (await axe.run({ rules })).violations;
  }, switchedOff);
  return (violations as Violation[]).map(
    ({ id, help, nodes }) =>
      `${id}: ${help}: ${nodes.map((node) => `${node.target.join(" ")} (${node.failureSummary ?? ""})`).join("; ")}`,
  );
}

function address(program: ChildProcess): Promise<string> {
  return new Promise((done, fail) => {
    let text = "";
    const timer = setTimeout(() => fail(new Error(`the program named no address; it wrote: ${text}`)), START_MS);
    program.stdout?.on("data", (bytes: Buffer) => {
      text += bytes.toString();
      const found = /Quietarc is at (http:\/\/127\.0\.0\.1:\d+\/)/.exec(text);
      if (!found?.[1]) return;
      clearTimeout(timer);
      done(found[1]);
    });
    program.on("error", fail);
    program.on("exit", (code) => fail(new Error(`the program ended with ${code}; it wrote: ${text}`)));
  });
}

function onPath(program: string): string {
  return `/usr/bin/${program}`;
}
