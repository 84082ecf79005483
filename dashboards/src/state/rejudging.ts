import type { Job, Rejudgement, RejudgeOrder, Upkeep } from "../feed/upkeep";
import { type Asked, failed } from "./asked";

/** Long work on the record, as one page sees it. */
export interface Rejudging {
  readonly job: Job | null;
  /** How long it will still take, s; null while nobody can tell. */
  readonly left_s: number | null;
  readonly result: Asked<Rejudgement> | null;
  /** A question about it was not answered. */
  readonly unheard: boolean;
  begin(cell: number, order: RejudgeOrder): Promise<void>;
  cancel(): void;
  /** Puts the result away. */
  close(): void;
}

/** How often a job is asked how far it is, ms. */
const everyMs = 700;
/** Before so many runs are done their pace says little. */
const paceFrom = 2;

export function remaining(job: Job): number | null {
  return job.state === "running" && job.done >= paceFrom && job.total > 0
    ? (job.seconds / job.done) * (job.total - job.done)
    : null;
}

export function createRejudging(
  upkeep: Upkeep,
  after: (waitMs: number, action: () => void) => void,
  nowMs: () => number,
  changed: () => void,
): Rejudging {
  let cell = 0;
  let job: Job | null = null;
  let result: Asked<Rejudgement> | null = null;
  let unheard = false;

  const take = (next: Job): void => {
    job = next;
    unheard = false;
    if (next.state === "running") after(everyMs, look);
    else if (next.number !== null) fetch(next.number);
    changed();
  };
  const look = (): void => {
    const mine = job;
    if (mine === null || mine.state !== "running") return;
    upkeep.job(cell, mine.id).then(
      (next) => job?.id === mine.id && take(next),
      () => {
        // It goes on there, whether this page hears of it or not.
        unheard = true;
        after(everyMs * 4, look);
        changed();
      },
    );
  };
  const fetch = (number: number): void => {
    result = { kind: "asking", sinceMs: nowMs() };
    upkeep.rejudged(cell, number).then(
      (value) => {
        result = { kind: "here", value };
        changed();
      },
      (error: unknown) => {
        result = failed(error);
        changed();
      },
    );
  };
  return {
    get job() {
      return job;
    },
    get left_s() {
      return job === null ? null : remaining(job);
    },
    get result() {
      return result;
    },
    get unheard() {
      return unheard;
    },
    async begin(of, order) {
      const begun = await upkeep.rejudge(of, order);
      cell = of;
      result = null;
      take(begun);
    },
    cancel() {
      const mine = job;
      if (mine === null) return;
      upkeep.cancel(cell, mine.id).then(
        (next) => job?.id === mine.id && take(next),
        () => {
          unheard = true;
          changed();
        },
      );
    },
    close() {
      job = null;
      result = null;
      changed();
    },
  };
}
