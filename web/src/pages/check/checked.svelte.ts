import * as api from "../../api";
import type { CheckReport } from "../../generated/job";
import { eyes } from "../../palette.svelte";

/** The frame that is looked at; it stays while other pages are turned to, and is never stored. */
class Checked {
  file: File | null = $state.raw(null);
  report: CheckReport | null = $state.raw(null);
  /** The frame with what was found on it, and whose eyes it was drawn for. */
  drawing: { svg: string; palette: api.Palette } | null = $state.raw(null);
  failure: api.ApiError | null = $state.raw(null);
  busy = $state(false);
  /** A kit of the journal, for a lens that tells the camera nothing. */
  kit: string | null = $state(null);
  /** White light was asked for, or the frame in dim red: nothing is shown to dark eyes before. */
  isShown = $state(false);
  private running: AbortController | null = null;

  take(file: File): Promise<void> {
    this.file = file;
    this.isShown = false;
    return this.again();
  }

  /** A rendered frame of an invented place, to see what the page does. */
  async takeExample(): Promise<void> {
    this.failure = null;
    try {
      await this.take(await api.exampleFrame(new AbortController().signal));
    } catch (problem) {
      this.failure = api.asApiError(problem);
    }
  }

  /** Asks about the same frame, after the kit or the eyes were changed. */
  async again(): Promise<void> {
    if (!this.file) return;
    this.running?.abort();
    const mine = new AbortController();
    this.running = mine;
    this.busy = true;
    this.failure = null;
    try {
      const { palette } = eyes;
      const { report, drawing } = await api.check(this.file, this.kit, palette, mine.signal);
      this.report = report;
      this.drawing = drawing === null ? null : { svg: drawing, palette };
    } catch (problem) {
      if (api.wasAborted(problem)) return;
      this.report = null;
      this.drawing = null;
      this.failure = api.asApiError(problem);
    } finally {
      if (this.running === mine) this.busy = false;
    }
  }
}

export const checked = new Checked();
