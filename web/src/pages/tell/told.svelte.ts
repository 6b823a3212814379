import * as api from "../../api";
import { eyes } from "../../palette.svelte";

/** The frame whose eye view is shown; it stays while other pages are turned to, and is never stored. */
class Told {
  file: File | null = $state.raw(null);
  answer: api.ToldEye | null = $state.raw(null);
  /** Whose eyes the views were made for: others are never shown them. */
  palette: api.Palette | null = $state(null);
  failure: api.ApiError | null = $state.raw(null);
  busy = $state(false);
  kit: string | null = $state(null);
  minutes = $state(30);
  fieldFactor = $state(2);
  /** Dark eyes are asked before a frame is shown. */
  isShown = $state(false);
  private running: AbortController | null = null;

  take(file: File): Promise<void> {
    this.file = file;
    this.isShown = false;
    return this.again();
  }

  /** Asks about the same frame, after somebody else is to look at it. */
  async again(): Promise<void> {
    if (!this.file) return;
    this.running?.abort();
    const mine = new AbortController();
    this.running = mine;
    this.busy = true;
    this.failure = null;
    try {
      const { palette } = eyes;
      const { kit, minutes, fieldFactor } = this;
      this.answer = await api.tellEye(this.file, { kit, minutes, fieldFactor, palette }, mine.signal);
      this.palette = palette;
    } catch (problem) {
      if (api.wasAborted(problem)) return;
      this.answer = null;
      this.failure = api.asApiError(problem);
    } finally {
      if (this.running === mine) this.busy = false;
    }
  }
}

export const told = new Told();
