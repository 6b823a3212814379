import * as api from "../../api";
import { eyes } from "../../palette.svelte";
import { type StillAsked, stillFile, type StillKind, type StillPreview, stillPreview } from "../../telling";
import { told } from "./told.svelte";

/** The still of the frame that the eye view is of. */
class Still {
  shape: StillAsked["shape"] = $state("16:9");
  lines: StillAsked["lines"] = $state("1080");
  overlay = $state(false);
  guides = $state(true);
  named = $state(true);
  place = $state("");
  precision: StillAsked["precision"] = $state("hidden");
  credit = $state("");
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
    const { shape, lines, overlay, guides, place, precision, credit } = this;
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
    };
  }

  /** Looks at another frame than before. */
  async follow(file: File | null, timeZone: string | null): Promise<void> {
    if (file === this.of) return;
    this.of = file;
    this.preview = null;
    this.done = "";
    if (file) await this.again(timeZone);
  }

  async again(timeZone: string | null): Promise<void> {
    const file = this.of;
    if (!file) return;
    this.running?.abort();
    const mine = new AbortController();
    this.running = mine;
    this.busy = true;
    const { palette } = eyes;
    try {
      this.preview = await stillPreview(file, this.asked(timeZone), palette, mine.signal);
      this.palette = palette;
      this.failure = null;
    } catch (failure) {
      if (!api.wasAborted(failure)) this.failure = api.asApiError(failure);
    } finally {
      if (this.running === mine) this.busy = false;
    }
  }

  async save(kind: StillKind, timeZone: string | null): Promise<void> {
    const file = this.of;
    if (!file || this.making) return;
    this.making = kind;
    this.failure = null;
    try {
      const made = await stillFile(file, this.asked(timeZone), kind, new AbortController().signal);
      const stem = file.name.replace(/\.[^.]*$/, "");
      const name = `${stem}-${this.overlay ? "words" : "still"}-${this.shape.replace(":", "x")}.${kind}`;
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
