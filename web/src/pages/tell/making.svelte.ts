import * as api from "../../api";
import type { ClipRequest, StackRequest } from "../../generated/job";
import { followMaking, making, type MakingQuestion, type MakingStanding, startMaking, stopMaking } from "../../telling";
import { said } from "./said.svelte";

/** What can be made of many frames. */
export type Kind = "clip" | "mean" | "brightest_sky" | "trails";

/** A clip or a stack of the sorted folder, and how far it is. */
class Made {
  kind: Kind = $state("clip");
  keepersOnly = $state(true);
  codec: ClipRequest["codec"] = $state("h264");
  size: ClipRequest["size"] = $state("lines1080");
  framesPerS = $state("25");
  portrait = $state(false);
  clock = $state(false);
  evenExposure = $state(true);
  standing: MakingStanding | null = $state.raw(null);
  failure: api.ApiError | null = $state.raw(null);
  private isOpened = false;
  private hush: (() => void) | null = null;

  get isMaking(): boolean {
    return this.standing?.phase === "making";
  }

  private question(): MakingQuestion {
    const given = (text: string) => (text.trim() === "" ? null : text.trim());
    const words = { credit: given(said.credit), place: given(said.place) };
    const { kind } = this;
    if (kind !== "clip") {
      const stack: StackRequest = { kind, clip_sigmas: 3, longest_px: null, ...words };
      return { what: { stack }, keepers_only: this.keepersOnly };
    }
    const clip: ClipRequest = {
      codec: this.codec,
      frames_per_s: Number(this.framesPerS.replace(",", ".")),
      size: this.size,
      portrait: this.portrait,
      whole_frame: false,
      clock: this.clock,
      even_exposure: this.evenExposure,
      ...words,
    };
    return { what: { clip }, keepers_only: this.keepersOnly };
  }

  /** Looks once at what the program has. */
  async open(): Promise<void> {
    if (this.isOpened) return;
    this.isOpened = true;
    await this.during(async (signal) => this.take(await making(signal)));
  }

  start(): Promise<void> {
    return this.during(async (signal) => this.take(await startMaking(this.question(), signal)));
  }

  stop(): Promise<void> {
    return this.during(async (signal) => void (await stopMaking(signal)));
  }

  private take(standing: MakingStanding | null): void {
    this.standing = standing;
    this.hush?.();
    if (standing?.phase !== "making") return;
    const lost = () =>
      (this.failure = new api.ApiError(
        "the program is gone",
        "start it again and reload; a clip goes on with what is packed",
      ));
    this.hush = followMaking((now) => (this.standing = now), lost);
  }

  private async during(work: (signal: AbortSignal) => Promise<void>): Promise<void> {
    this.failure = null;
    try {
      await work(new AbortController().signal);
    } catch (failure) {
      this.failure = api.asApiError(failure);
    }
  }
}

export const made = new Made();
