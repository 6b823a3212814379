import * as api from "../../api";
import { eyes } from "../../palette.svelte";
import {
  type Sheet,
  sheetFile,
  sheetPreview,
  type StillAsked,
  stillFile,
  type StillKind,
  type StillPreview,
  stillPreview,
} from "../../telling";
import { said } from "./said.svelte";
import { told } from "./told.svelte";

/** What a still shows. */
export type Shown = "frame" | Sheet["what"];

/** The still of the frame that the eye view is of, or of an outing's keogram or map. */
class Still {
  what: Shown = $state("frame");
  /** The outing whose reading names the forms on a frame; empty for the frame alone. */
  formsOf = $state("");
  /** The outing that keogram and map are of. */
  outing: string | null = $state(null);
  shape: StillAsked["shape"] = $state("16:9");
  lines: StillAsked["lines"] = $state("1080");
  overlay = $state(false);
  guides = $state(true);
  named = $state(true);
  precision: StillAsked["precision"] = $state("hidden");
  site = $state("");
  preview: StillPreview | null = $state.raw(null);
  /** Whose eyes the preview was made for. */
  palette: api.Palette | null = $state(null);
  failure: api.ApiError | null = $state.raw(null);
  busy = $state(false);
  making: StillKind | null = $state(null);
  /** What was saved last. */
  done = $state("");
  private of: File | null = null;
  private running: AbortController | null = null;

  private asked(timeZone: string | null): StillAsked {
    const { shape, lines, overlay, guides, precision } = this;
    const { place, credit } = said;
    const site = this.site === "" ? null : this.site;
    return {
      shape,
      lines,
      overlay,
      guides,
      plain: !this.named,
      place,
      precision,
      credit,
      kit: told.kit,
      site,
      timeZone,
      formsOf: this.formsOf === "" ? null : this.formsOf,
    };
  }

  private get sheet(): Sheet | null {
    const { what, outing } = this;
    return what === "frame" || outing === null ? null : { what, outing };
  }

  /** Shows something else; a map needs to know how exactly it may tell the place. */
  async show(what: Shown, timeZone: string | null): Promise<void> {
    this.what = what;
    if (what === "map" && this.precision === "hidden") this.precision = "degree";
    this.preview = null;
    this.failure = null;
    this.done = "";
    await this.again(timeZone);
  }

  /** Looks at another frame than before. */
  async follow(file: File | null, timeZone: string | null): Promise<void> {
    if (file === this.of) return;
    this.of = file;
    if (this.what !== "frame") return;
    this.preview = null;
    this.done = "";
    if (file) await this.again(timeZone);
  }

  async again(timeZone: string | null): Promise<void> {
    const { sheet, of: file } = this;
    if (!sheet && (this.what !== "frame" || !file)) return;
    this.running?.abort();
    const mine = new AbortController();
    this.running = mine;
    this.busy = true;
    const { palette } = eyes;
    try {
      const asked = this.asked(timeZone);
      this.preview = sheet
        ? await sheetPreview(sheet, asked, palette, mine.signal)
        : file && (await stillPreview(file, asked, palette, mine.signal));
      this.palette = palette;
      this.failure = null;
    } catch (failure) {
      if (!api.wasAborted(failure)) {
        this.failure = api.asApiError(failure);
        // what was shown is not what is asked for now
        this.preview = null;
      }
    } finally {
      if (this.running === mine) this.busy = false;
    }
  }

  async save(kind: StillKind, timeZone: string | null): Promise<void> {
    const { sheet, of: file } = this;
    if ((!sheet && !file) || this.making) return;
    this.making = kind;
    this.failure = null;
    try {
      const { signal } = new AbortController();
      const asked = this.asked(timeZone);
      const made = sheet
        ? await sheetFile(sheet, asked, kind, signal)
        : file && (await stillFile(file, asked, kind, signal));
      if (!made) return;
      const stem = sheet?.what ?? file?.name.replace(/\.[^.]*$/, "");
      const name = `${stem ?? "still"}-${this.overlay ? "words" : "still"}-${this.shape.replace(":", "x")}.${kind}`;
      keep(made, name);
      this.done = `${name} is saved, ${(made.size / 1e6).toFixed(1)} MB`;
    } catch (failure) {
      this.failure = api.asApiError(failure);
    } finally {
      this.making = null;
    }
  }
}

/** Hands a file to the browser, to be saved. */
function keep(content: Blob, name: string): void {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(content);
  link.download = name;
  link.click();
  // the browser takes the address over at once, and reads it a little later
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}

export const still = new Still();
