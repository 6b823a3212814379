import { ApiError, asApiError, wasAborted } from "../../api";
import * as desk from "../../desk";

const BY_KEY = "quietarc.desk.by";
/** Least time between two readings on a night when twenty pictures come a second, ms. */
const READ_EVERY_MS = 700;

/** What is on the board, and where the person is on it. */
class Board {
  rows: desk.Row[] = $state.raw([]);
  total = $state(0);
  points: desk.Point[] = $state.raw([]);
  counts: [desk.State, number][] = $state.raw([]);
  rundown: desk.Row[] = $state.raw([]);
  forms: [string, number][] = $state.raw([]);
  question: desk.Question = $state({ ...desk.EVERYTHING });
  /** Number of the submission on the right. */
  current: number | null = $state(null);
  whole: desk.Whole | null = $state.raw(null);
  isExact = $state(false);
  failure: ApiError | null = $state.raw(null);
  /** What was done last, for ears and eyes. */
  done = $state("");
  /** Pictures that are on their way in. */
  coming = $state(0);
  by = $state(recalled());
  private hush: (() => void) | null = null;
  private isReading = false;
  private isStale = false;
  private readonly signal = new AbortController().signal;
  private looking = new AbortController();

  open(): void {
    this.hush ??= desk.follow(() => void this.hear());
  }

  close(): void {
    this.hush?.();
    this.hush = null;
  }

  /** Something has changed: read once now, and once more where more changed meanwhile, never one over the other. */
  private async hear(): Promise<void> {
    this.isStale = true;
    if (this.isReading) return;
    this.isReading = true;
    while (this.isStale && this.hush) {
      this.isStale = false;
      await this.refresh();
      await new Promise((done) => setTimeout(done, READ_EVERY_MS));
    }
    this.isReading = false;
  }

  /** Reads what stands there now; the submission on the right only where it changed. */
  async refresh(): Promise<void> {
    this.looking.abort();
    this.looking = new AbortController();
    const { signal } = this.looking;
    await this.during(async () => {
      const [board, listed, points] = await Promise.all([
        desk.board(signal),
        desk.list(this.question, signal),
        desk.points(this.question, signal),
      ]);
      this.counts = board.counts;
      this.rundown = board.rundown;
      this.forms = board.forms;
      this.rows = listed.rows;
      this.total = listed.total;
      this.points = points;
      if (this.current === null) await this.choose(listed.rows[0]?.id ?? null);
      else await this.look(this.current);
    });
  }

  async choose(id: number | null): Promise<void> {
    if (id === this.current) return;
    this.current = id;
    this.isExact = false;
    // nothing acts on the one before while this one is on its way
    this.whole = null;
    if (id !== null) await this.look(id);
  }

  async look(id: number): Promise<void> {
    await this.during(async () => {
      this.keep(await desk.whole(id, this.isExact, this.signal));
    });
  }

  /** Shows what a change left, unless the person has gone on to another one meanwhile. */
  keep(whole: desk.Whole): void {
    if (this.current === whole.id) this.whole = whole;
  }

  /** To the next line, or back. */
  step(by: number): void {
    const at = this.rows.findIndex((row) => row.id === this.current);
    const next = this.rows[Math.min(this.rows.length - 1, Math.max(0, at + by))];
    if (next) void this.choose(next.id);
  }

  async ask(question: Partial<desk.Question>): Promise<void> {
    this.question = { ...this.question, from: 0, ...question };
    await this.refresh();
  }

  async setState(state: desk.State): Promise<void> {
    const { whole } = this;
    if (!whole) return;
    await this.change(async () => {
      this.keep(await desk.setState(whole.id, { version: whole.version, by: this.by, state }, this.signal));
      this.done = `number ${whole.id} is ${state}`;
    });
  }

  /** Records a permission by a person who has seen this version. */
  async permit(version: number, uses: desk.Uses, words: string): Promise<void> {
    const { whole } = this;
    if (!whole) return;
    await this.change(async () => {
      this.keep(await desk.permit(whole.id, { version, by: this.by, words, uses }, this.signal));
      this.done = `permission for number ${whole.id} is recorded`;
    });
  }

  async withdraw(words: string, erase: boolean): Promise<void> {
    const { whole } = this;
    if (!whole) return;
    await this.change(async () => {
      this.keep(await desk.withdraw(whole.id, { by: this.by, words, erase }, this.signal));
      this.done = `number ${whole.id} is withdrawn`;
    });
  }

  /** Puts the submission at the end of the rundown, or takes it out. */
  async toggleRundown(id: number): Promise<void> {
    const seen = this.rundown.map((row) => row.id);
    await this.order(seen.includes(id) ? seen.filter((other) => other !== id) : [...seen, id]);
  }

  async order(to: number[]): Promise<void> {
    const seen = this.rundown.map((row) => row.id);
    await this.change(async () => {
      this.rundown = await desk.setRundown({ seen, to, by: this.by }, this.signal);
      this.done = "the rundown is changed";
    });
  }

  /** Takes files in, one after the other. */
  async drop(files: readonly File[]): Promise<void> {
    this.coming += files.length;
    const refused: string[] = [];
    for (const file of files) {
      try {
        await desk.dropIn(file, this.signal);
      } catch (failure) {
        const { message, hint } = asApiError(failure);
        refused.push(`${message}: ${hint}`);
      }
      this.coming -= 1;
    }
    this.done = `${files.length - refused.length} of ${files.length} taken in`;
    if (refused.length > 0) this.failure = new ApiError(`${refused.length} not taken`, refused.slice(0, 5).join("; "));
    await this.refresh();
  }

  sign(by: string): void {
    this.by = by;
    try {
      localStorage.setItem(BY_KEY, by);
    } catch {
      // storage refused: the name is asked for again next time
    }
  }

  private async change(work: () => Promise<void>): Promise<void> {
    await this.during(work);
    const { failure } = this;
    await this.refresh();
    // what went wrong is not wiped away by what is read anew
    if (failure) this.failure = failure;
  }

  private async during(work: () => Promise<void>): Promise<void> {
    this.failure = null;
    try {
      await work();
    } catch (failure) {
      if (!wasAborted(failure)) this.failure = asApiError(failure);
    }
  }
}

function recalled(): string {
  try {
    return localStorage.getItem(BY_KEY) ?? "";
  } catch {
    return "";
  }
}

export const board = new Board();
