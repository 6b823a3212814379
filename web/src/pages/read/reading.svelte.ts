import * as api from "../../api";
import * as read from "../../read";
import { holding, inside, nearest, type Stretch, zoomed } from "./axis";
import { startOf } from "./moment";

const PLACE_KEY = "quietarc.read";
/** One press of + or -. */
const ZOOM_STEP = 0.6;
/** Columns passed by a page key. */
const PAGE = 10;

type Place = { which: read.Which; at: number; from: number; to: number };

/** What is read or was read, and where the person is in it. */
class ReadingState {
  page: read.ReadPage | null = $state.raw(null);
  rows: api.ReadingRow[] | null = $state.raw(null);
  standing: read.ReadStanding | null = $state.raw(null);
  which: read.Which | null = $state(null);
  whole: read.ReadWhole | null = $state.raw(null);
  frames: read.FrameRows | null = $state.raw(null);
  failure: api.ApiError | null = $state.raw(null);
  busy = $state(false);
  /** The cursor, ms since 1970. */
  at = $state(0);
  shown: Stretch = $state.raw({ from: 0, to: 0 });
  /** In dark eyes frames are shown once somebody asks. */
  isShown = $state(false);
  private hush: (() => void) | null = null;
  private running = new AbortController();
  private isOpened = false;

  /** Times of the columns, or of the points of light where there is no keogram. */
  readonly instants: number[] = $derived.by(() => {
    const report = this.whole?.report;
    const columns = report?.keogram?.columns ?? [];
    return (columns.length > 0 ? columns : (report?.light ?? [])).map(({ at }) => Date.parse(at));
  });
  readonly step_ms: number = $derived.by(() => {
    const column_s = this.whole?.report.keogram?.column_s ?? this.whole?.report.frames.interval_s ?? 1;
    return Math.max(1, 1000 * column_s);
  });
  readonly all: Stretch = $derived.by(() => ({
    from: (this.instants[0] ?? 0) - this.step_ms / 2,
    to: (this.instants.at(-1) ?? 0) + this.step_ms / 2,
  }));
  readonly index: number = $derived(nearest(this.instants, this.at));
  readonly frameTimes: number[] = $derived((this.frames?.frames ?? []).map(({ at }) => Date.parse(at)));
  readonly frame: read.FrameRow | null = $derived(this.frames?.frames[nearest(this.frameTimes, this.at)] ?? null);

  /** Looks once at what the program has, and takes up the place where the person was. */
  async open(): Promise<void> {
    if (this.isOpened) return;
    this.isOpened = true;
    await this.during(async (signal) => {
      const [page, rows] = await Promise.all([read.readPage(signal), api.readings(signal)]);
      this.take(page);
      this.rows = rows;
      if (page.standing?.phase === "reading") return this.follow(signal);
      const last = recalled();
      const has = (which: read.Which) =>
        which === "current" ? page.standing?.phase === "done" : rows.some(({ id }) => id === which);
      const first: read.Which | null = page.standing?.phase === "done" ? "current" : (rows[0]?.id ?? null);
      const which = last && has(last.which) ? last.which : first;
      if (which !== null) await this.load(which, signal, last?.which === which ? last : null);
    });
  }

  start(question: read.ReadQuestion): Promise<void> {
    return this.during(async (signal) => {
      this.take(await read.startRead(question, signal));
      // only now: a question that is refused takes nothing away
      this.whole = null;
      this.frames = null;
      this.which = null;
      await this.follow(signal);
    });
  }

  stop(): Promise<void> {
    return this.during(async () => void (await read.stopRead(new AbortController().signal)), false);
  }

  keep(outing: number): Promise<void> {
    return this.during(async (signal) => {
      this.take(await read.keepRead(outing, signal));
      this.rows = await api.readings(signal);
    }, false);
  }

  choose(which: read.Which): Promise<void> {
    return this.during((signal) => this.load(which, signal, null));
  }

  /** Moves the cursor to the column nearest to an instant; the stretch follows. */
  moveTo(instant: number): void {
    const there = this.instants[nearest(this.instants, instant)];
    if (there === undefined) return;
    this.at = there;
    this.shown = holding(this.shown, this.all, there);
    this.remember();
  }

  step(by: number): void {
    const index = Math.min(this.instants.length - 1, Math.max(0, this.index + by));
    this.moveTo(this.instants[index] ?? this.at);
  }

  zoom(factor: number, around = this.at): void {
    this.shown = zoomed(this.shown, this.all, around, factor, this.step_ms);
    this.remember();
  }

  /** What a key does; false for keys that do nothing here. */
  press(key: string): boolean {
    const acts: Record<string, () => void> = {
      ArrowLeft: () => this.step(-1),
      ArrowDown: () => this.step(-1),
      ArrowRight: () => this.step(1),
      ArrowUp: () => this.step(1),
      PageUp: () => this.step(PAGE),
      PageDown: () => this.step(-PAGE),
      Home: () => this.step(-this.instants.length),
      End: () => this.step(this.instants.length),
      "+": () => this.zoom(ZOOM_STEP),
      "=": () => this.zoom(ZOOM_STEP),
      "-": () => this.zoom(1 / ZOOM_STEP),
      "0": () => this.zoom(Infinity),
    };
    acts[key]?.();
    return key in acts;
  }

  private take(page: read.ReadPage): void {
    this.page = page;
    this.standing = page.standing;
  }

  private async load(which: read.Which, signal: AbortSignal, place: Place | null): Promise<void> {
    this.frames = null;
    const whole = await read.readWhole(which, signal);
    [this.which, this.whole] = [which, whole];
    this.shown = place ? inside({ from: place.from, to: place.to }, this.all) : this.all;
    this.at = place?.at ?? startOf(whole.report) ?? this.instants[0] ?? 0;
    if (place) this.moveTo(place.at);
    this.frames = await read.readFrames(which, signal);
  }

  /** Listens until the reading is done, then takes its report. */
  private async follow(signal: AbortSignal): Promise<void> {
    this.hush?.();
    await new Promise<void>((done, fail) => {
      const lost = () => fail(new api.ApiError("the program is gone", "start it again, and read the folder again"));
      this.hush = read.followRead((standing) => {
        this.standing = standing;
        if (standing.phase !== "reading") done();
      }, lost);
      signal.addEventListener("abort", () => (this.hush?.(), done()));
    });
    if (signal.aborted) return;
    const problem = this.standing?.problem;
    if (this.standing?.phase === "failed" && problem) throw new api.ApiError(problem.problem, problem.remedy);
    await this.load("current", signal, null);
    if (this.standing?.kept !== null) this.rows = await api.readings(signal);
    if (problem) throw new api.ApiError(problem.problem, problem.remedy);
  }

  private remember(): void {
    try {
      const place: Place = { which: this.which ?? "current", at: this.at, from: this.shown.from, to: this.shown.to };
      localStorage.setItem(PLACE_KEY, JSON.stringify(place));
    } catch {
      // storage refused: the place lasts for this page
    }
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

function recalled(): Place | null {
  try {
    const text = localStorage.getItem(PLACE_KEY);
    return text === null ? null : (JSON.parse(text) as Place);
  } catch {
    return null;
  }
}

export const reading = new ReadingState();
