import type { Palette } from "./api";

// public/palette.js reads the first two of these before the first paint
const PALETTE_KEY = "quietarc.palette";
const BRIGHTNESS_KEY = "quietarc.brightness";
const DARK_SINCE_KEY = "quietarc.dark-since";

const CLOCK_STEP_MS = 10_000;

/** Which eyes the pages are for, and how long they have been without white light. */
class Eyes {
  palette: Exclude<Palette, "print"> = $state("desk");
  /** 0.15 to 1: how much of the dark-eyes palette comes through. */
  brightness = $state(0.8);
  darkSince: number | null = $state(null);
  private now = $state(Date.now());

  constructor() {
    this.palette = recall(PALETTE_KEY) === "dark_eyes" ? "dark_eyes" : "desk";
    const brightness = Number(recall(BRIGHTNESS_KEY) ?? Number.NaN);
    if (brightness >= 0.15 && brightness <= 1) this.brightness = brightness;
    const since = Number(recall(DARK_SINCE_KEY) ?? Number.NaN);
    if (this.palette === "dark_eyes") this.darkSince = Number.isFinite(since) ? since : Date.now();
    this.show();
    setInterval(() => (this.now = Date.now()), CLOCK_STEP_MS);
  }

  get isDark(): boolean {
    return this.palette === "dark_eyes";
  }

  /** Whole minutes since white light; null at the desk. */
  get minutesInDark(): number | null {
    return this.darkSince === null ? null : Math.max(0, Math.floor((this.now - this.darkSince) / 60_000));
  }

  goDark(): void {
    this.palette = "dark_eyes";
    keep(PALETTE_KEY, "dark_eyes");
    this.restartClock();
    this.show();
  }

  goLight(): void {
    this.palette = "desk";
    this.darkSince = null;
    keep(PALETTE_KEY, "desk");
    keep(DARK_SINCE_KEY, "");
    this.show();
  }

  /** White light was seen: adaptation starts again. */
  restartClock(): void {
    this.now = Date.now();
    this.darkSince = this.now;
    keep(DARK_SINCE_KEY, String(this.now));
  }

  dim(brightness: number): void {
    this.brightness = brightness;
    keep(BRIGHTNESS_KEY, String(brightness));
    this.show();
  }

  private show(): void {
    const root = document.documentElement;
    root.dataset["palette"] = this.isDark ? "dark-eyes" : "day";
    root.style.background = this.isDark ? "black" : "";
    root.style.colorScheme = this.isDark ? "dark" : "";
    root.style.setProperty("--brightness", String(this.brightness));
  }
}

function recall(key: string): string | null {
  try {
    return localStorage.getItem(key) || null;
  } catch {
    return null;
  }
}

function keep(key: string, value: string): void {
  try {
    localStorage.setItem(key, value);
  } catch {
    // storage refused: the choice lasts for this page
  }
}

export const eyes = new Eyes();
