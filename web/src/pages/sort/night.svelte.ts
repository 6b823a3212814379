import * as api from "../../api";
import type { PersonVerdict, SortedFrame, SortReport } from "../../generated/job";
import { type Filter, passes } from "./marks";

const QUESTION_KEY = "quietarc.sort";

/** The folder that is sorted, its report, and where the person is in it. */
class Sorted {
  standing: api.SortStanding | null = $state.raw(null);
  /** The folder without links, as the program knows it. */
  folder: string | null = $state(null);
  question: api.NightQuestion | null = $state.raw(null);
  /** Folders to pick from. */
  offered: string[] = $state.raw([]);
  anyFolder = $state(true);
  report: SortReport | null = $state.raw(null);
  faults: api.FaultLine[] = $state.raw([]);
  /** Frames that can be shown while the rest is measured. */
  arrived: api.ArrivedFrame[] = $state.raw([]);
  failure: api.ApiError | null = $state.raw(null);
  busy = $state(false);
  filter: Filter = $state("all");
  /** Index of the frame under the cursor. */
  index = $state(0);
  /** Index of the frame that waits for another to be compared with. */
  marked: number | null = $state(null);
  compared: [number, number] | null = $state.raw(null);
  isShown = $state(false);
  /** What was done last, for ears and eyes. */
  done = $state("");
  private hush: (() => void) | null = null;
  private running = new AbortController();
  private isOpened = false;
  private saying: Promise<void> = Promise.resolve();

  /** Indices of the frames that pass the filter, sequence by sequence. */
  get shown(): number[] {
    const { report } = this;
    if (!report) return [];
    const frames = report.sequences.flatMap((sequence) => sequence.frames);
    return frames.filter((index) => passes(this.filter, report.frames[index]));
  }

  get frame(): SortedFrame | null {
    return this.report?.frames[this.index] ?? null;
  }

  /** Looks once at what the program has; after it was started anew the last folder is taken up again. */
  async open(): Promise<void> {
    if (this.isOpened) return;
    this.isOpened = true;
    await this.during(async (signal) => {
      const page = await api.night(signal);
      this.take(page);
      const last = recalled();
      if (page.standing) await this.follow(signal);
      else if (last) {
        this.question = last;
        this.take(await api.startSort(last, signal));
        await this.follow(signal);
      }
    });
  }

  start(question: api.NightQuestion): Promise<void> {
    this.report = null;
    this.arrived = [];
    this.isShown = false;
    this.compared = null;
    this.marked = null;
    this.filter = "all";
    this.index = 0;
    this.done = "";
    return this.during(async (signal) => {
      this.take(await api.startSort(question, signal));
      remember(question);
      await this.follow(signal);
    });
  }

  stop(): Promise<void> {
    return this.during(async () => void (await api.stopSort(new AbortController().signal)), false);
  }

  /** What a person says about the frame under the cursor; it is kept before the next one is. */
  say(verdict: PersonVerdict | null, index = this.index): Promise<void> {
    const frame = this.report?.frames[index];
    if (!frame) return Promise.resolve();
    this.saying = this.saying.then(() =>
      this.during(async (signal) => {
        this.put(await api.sayOfFrame(frame.content_hash, verdict, signal));
        const words = { keep: "kept", dud: "a dud", undecided: "left open" };
        this.done = verdict === null ? `${frame.name}: your verdict is taken back` : `${frame.name}: ${words[verdict]}`;
      }, false),
    );
    return this.saying;
  }

  rate(): Promise<void> {
    return this.during(async (signal) => {
      const rated = await api.writeRatings(signal);
      this.done = rated.words;
      this.faults = [...this.faults, ...rated.faults];
    }, false);
  }

  /** To the next frame shown, or back; false at the end. */
  step(by: number): boolean {
    const { shown } = this;
    const at = shown.indexOf(this.index);
    // a frame that the filter took away still has neighbours
    const ahead = shown.findIndex((index) => index > this.index);
    const behind = shown.findLastIndex((index) => index < this.index);
    const near = at >= 0 ? at + by : by > 0 ? ahead : behind;
    const to = shown[near];
    if (to === undefined) return false;
    this.index = to;
    return true;
  }

  choose(filter: Filter): void {
    this.filter = filter;
    const { shown } = this;
    if (!shown.includes(this.index)) this.index = shown[0] ?? this.index;
  }

  /** The first press marks, the second on another frame compares. */
  compare(): void {
    if (this.marked === null || this.marked === this.index) {
      this.marked = this.marked === this.index ? null : this.index;
      return;
    }
    this.compared = [this.marked, this.index];
  }

  endCompare(): void {
    this.compared = null;
    this.marked = null;
  }

  private take(page: api.NightPage): void {
    this.standing = page.standing;
    this.folder = page.folder;
    this.question = page.question ?? this.question;
    this.offered = page.offered;
    this.anyFolder = page.any_folder;
  }

  private put(said: api.Said): void {
    if (!this.report) return;
    const { changed, ...sums } = said;
    const frames = [...this.report.frames];
    for (const { index, frame } of changed) frames[index] = frame;
    this.report = { ...this.report, ...sums, frames };
  }

  /** Listens until the sort is done, then reads the report. */
  private async follow(signal: AbortSignal): Promise<void> {
    this.hush?.();
    this.arrived = [];
    await new Promise<void>((done, fail) => {
      const lost = () =>
        fail(new api.ApiError("the program is gone", "start it again and reload: what was measured is kept"));
      this.hush = api.followSort((standing) => {
        this.standing = standing;
        if (standing.arrived.length > 0) this.arrived = [...this.arrived, ...standing.arrived];
        if (standing.phase !== "measuring") done();
      }, lost);
      signal.addEventListener("abort", () => (this.hush?.(), done()));
    });
    if (signal.aborted) return;
    const problem = this.standing?.problem;
    if (problem) throw new api.ApiError(problem.problem, problem.remedy);
    const { report, faults } = await api.nightReport(signal);
    this.report = report;
    this.faults = faults;
    this.index = this.shown[0] ?? 0;
  }

  /** * `isNew`: what runs is no longer wanted. */
  private async during(work: (signal: AbortSignal) => Promise<void>, isNew = true): Promise<void> {
    if (isNew) {
      this.running.abort();
      this.running = new AbortController();
    }
    const mine = this.running;
    if (isNew) this.busy = true;
    this.failure = null;
    try {
      await work(mine.signal);
    } catch (failure) {
      if (!api.wasAborted(failure)) this.failure = api.asApiError(failure);
    } finally {
      if (isNew && this.running === mine) this.busy = false;
    }
  }
}

function remember(question: api.NightQuestion): void {
  try {
    localStorage.setItem(QUESTION_KEY, JSON.stringify(question));
  } catch {
    // storage refused: the folder is asked for again next time
  }
}

function recalled(): api.NightQuestion | null {
  try {
    const text = localStorage.getItem(QUESTION_KEY);
    if (text === null) return null;
    // one that was kept by an earlier version does not name all
    return { full_raw: false, ...(JSON.parse(text) as Omit<api.NightQuestion, "full_raw">) };
  } catch {
    return null;
  }
}

export const sorted = new Sorted();
