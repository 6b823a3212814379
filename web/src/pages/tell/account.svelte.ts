import * as api from "../../api";
import type { AccountReport } from "../../generated/job";
import { account, type AccountAsked } from "../../telling";
import { moved } from "./account";
import { said } from "./said.svelte";

/** Steps that can be taken back. */
const MOST_UNDONE = 50;

/** The account of an outing, and the order in which it is told. */
class Told {
  outing: string | null = $state(null);
  minutes = $state("");
  /** Cards by their names; empty for the usual order. */
  order: string[] = $state.raw([]);
  report: AccountReport | null = $state.raw(null);
  failure: api.ApiError | null = $state.raw(null);
  busy = $state(false);
  /** What was done last, for ears and eyes. */
  done = $state("");
  private past: string[][] = $state.raw([]);
  private running: AbortController | null = null;

  get canUndo(): boolean {
    return this.past.length > 0;
  }

  get asked(): AccountAsked {
    const { minutes, order } = this;
    return { outing: this.outing ?? "", place: said.place, minutes, order };
  }

  open(outing: string): Promise<void> {
    this.outing = outing;
    this.order = [];
    this.past = [];
    this.done = "";
    return this.again();
  }

  async again(): Promise<void> {
    if (this.outing === null) return;
    this.running?.abort();
    const mine = new AbortController();
    this.running = mine;
    this.busy = true;
    try {
      this.report = await account(this.asked, mine.signal);
      this.failure = null;
    } catch (failure) {
      if (!api.wasAborted(failure)) this.failure = api.asApiError(failure);
    } finally {
      if (this.running === mine) this.busy = false;
    }
  }

  async move(id: string, by: number): Promise<void> {
    const { report } = this;
    if (!report) return;
    const ids = report.cards.map((card) => card.id);
    const to = moved(ids, id, by);
    if (to.join() === ids.join()) return;
    this.past = [...this.past.slice(1 - MOST_UNDONE), this.order];
    this.order = to;
    await this.again();
    const place = this.report?.cards.findIndex((card) => card.id === id) ?? 0;
    const title = this.report?.cards[place]?.title ?? id;
    this.done = `${title} comes ${place + 1} of ${to.length}`;
  }

  async undo(): Promise<void> {
    const before = this.past.at(-1);
    if (!before) return;
    this.past = this.past.slice(0, -1);
    this.order = before;
    await this.again();
    this.done = "The last move is taken back";
  }
}

export const telling = new Told();
