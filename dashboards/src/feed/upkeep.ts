import type { Ask, Verdict } from "./records";

/** What would be lost if the readings of a run were deleted, as `/deletion` answers. */
export interface Deletion {
  readonly run: number;
  /** Why it cannot be done, in the service's words; null if it can. */
  readonly problem: string | null;
  readonly entries: number;
  readonly bytes: number;
  readonly entriesThatStay: number;
}
/** Runs being judged once more. */
export interface Job {
  readonly id: number;
  readonly state: "running" | "done" | "cancelled" | "failed";
  readonly by: string;
  readonly reason: string;
  readonly done: number;
  readonly total: number;
  /** Runs with another verdict so far. */
  readonly other: number;
  readonly seconds: number;
  /** Number of the result; null before it is there. */
  readonly number: number | null;
  readonly problem: string | null;
}
/** What came out: the runs with another verdict than they had, or none. */
export interface Rejudgement {
  readonly number: number;
  readonly judged: number;
  readonly other: number;
  readonly notJudged: number;
  readonly runs:
    | readonly {
        readonly run: number;
        readonly before: Verdict | null;
        readonly after: Verdict | null;
        readonly serials: readonly string[];
        readonly problem: string | null;
      }[]
    | null;
}
/** By what to judge once more: a channel that read too high, or only this program's rules. */
export interface RejudgeOrder {
  readonly by: string;
  readonly reason: string;
  readonly readHigh?: Readonly<Record<string, number>>;
}

/** Steps with the record that take long or cannot be undone. */
export interface Upkeep {
  deletion(cell: number, run: number): Promise<Deletion>;
  /** Deletes the readings; `entries` confirms what will be lost. */
  deleteReadings(cell: number, run: number, by: string, reason: string, entries: number): Promise<void>;
  rejudge(cell: number, order: RejudgeOrder): Promise<Job>;
  job(cell: number, id: number): Promise<Job>;
  cancel(cell: number, id: number): Promise<Job>;
  rejudged(cell: number, number: number): Promise<Rejudgement>;
}

/** Nobody gives up what has been sent: whether it arrived would then be unknown. */
const never = new AbortController().signal;

export function createUpkeep(ask: Ask): Upkeep {
  const deletion = (cell: number, run: number): string => `/api/v1/cells/${cell}/runs/${run}/deletion`;
  const judged = (cell: number): string => `/api/v1/cells/${cell}/rejudgements`;
  return {
    deletion: (cell, run) => ask(deletion(cell, run), never) as Promise<Deletion>,
    deleteReadings: async (cell, run, by, reason, entries) => {
      await ask(deletion(cell, run), never, { method: "POST", body: { by, reason, entries } });
    },
    rejudge: (cell, order) => ask(judged(cell), never, { method: "POST", body: order }) as Promise<Job>,
    job: (cell, id) => ask(`${judged(cell)}/jobs/${id}`, never) as Promise<Job>,
    cancel: (cell, id) => ask(`${judged(cell)}/jobs/${id}`, never, { method: "DELETE", body: null }) as Promise<Job>,
    rejudged: (cell, number) => ask(`${judged(cell)}/${number}`, never) as Promise<Rejudgement>,
  };
}
