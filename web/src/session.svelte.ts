import * as api from "./api";
import type { Kit, OutlookReport, OutlookRequest, OutlookStep, Site } from "./generated/job";

/** What every page shares: the outing, the last question and its answer, and the time cursor. */
class Session {
  outings: api.OutingRow[] = $state.raw([]);
  sites: Site[] = $state.raw([]);
  kits: Kit[] = $state.raw([]);
  outingId: string | null = $state(null);
  title = $state("");
  isInvented = $state(false);
  /** What was stored with the outing; the form starts from it. */
  stored: OutlookRequest | null = $state.raw(null);
  report: OutlookReport | null = $state.raw(null);
  /** Index of the step under the time cursor. */
  index = $state(0);
  busy = $state(false);
  /** The form says something else than the report. */
  isStale = $state(false);
  failure: api.ApiError | null = $state.raw(null);
  private running: AbortController | null = null;

  get step(): OutlookStep | null {
    return this.report?.steps[this.index] ?? null;
  }

  /** Reads the lists and opens an outing: the one asked for, else the first with an answer, else the first. */
  async start(wanted: string | null): Promise<void> {
    await this.during(async (signal) => {
      const lists = await Promise.all([api.outings(signal), api.sites(signal), api.kits(signal)]);
      [this.outings, this.sites, this.kits] = lists;
      const first =
        this.outings.find((row) => String(row.id) === wanted) ??
        this.outings.find((row) => row.has_prediction) ??
        this.outings[0];
      if (first) await this.load(String(first.id), signal);
    });
  }

  open(id: string): Promise<void> {
    return this.during((signal) => this.load(id, signal));
  }

  /** Works a question out; it may be one that has to ask the stored feeds first. */
  recompute(request: OutlookRequest | ((signal: AbortSignal) => Promise<OutlookRequest>)): Promise<void> {
    return this.during(async (signal) => {
      const ready = typeof request === "function" ? await request(signal) : request;
      this.answer(await api.outlook(ready, signal));
    });
  }

  /** Reads the lists of sites and kits again, after one was kept, changed or removed. */
  async reloadKept(signal: AbortSignal): Promise<void> {
    [this.sites, this.kits] = await Promise.all([api.sites(signal), api.kits(signal)]);
  }

  private async load(id: string, signal: AbortSignal): Promise<void> {
    const outing = await api.outing(id, signal);
    this.outingId = id;
    this.title = outing.title;
    this.isInvented = outing.invented;
    this.stored = outing.request;
    this.report = null;
    if (outing.report) this.answer(outing.report);
    else if (outing.request) this.answer(await api.outlook(outing.request, signal));
  }

  private answer(report: OutlookReport): void {
    const before = this.step?.at;
    const sameNight = this.report?.night.from === report.night.from;
    this.report = report;
    this.isStale = false;
    const kept = sameNight ? report.steps.findIndex((step) => step.at === before) : -1;
    this.index = kept >= 0 ? kept : bestIndex(report);
  }

  private async during(work: (signal: AbortSignal) => Promise<void>): Promise<void> {
    this.running?.abort();
    const mine = new AbortController();
    this.running = mine;
    this.busy = true;
    this.failure = null;
    try {
      await work(mine.signal);
    } catch (failure) {
      if (!api.wasAborted(failure)) this.failure = api.asApiError(failure);
    } finally {
      if (this.running === mine) this.busy = false;
    }
  }
}

/** Where the cursor starts: the best moment of the best window, else the likeliest step, else the middle. */
export function bestIndex(report: OutlookReport): number {
  const best = report.windows[0]?.best_at;
  const named = report.steps.findIndex((step) => step.at === best);
  if (named >= 0) return named;
  let index = Math.floor(report.steps.length / 2);
  for (const [candidate, step] of report.steps.entries()) {
    if ((step.chances?.camera_records ?? 0) > (report.steps[index]?.chances?.camera_records ?? 0)) index = candidate;
  }
  return index;
}

export const session = new Session();
