import type { Records, RunCurves, RunDetail } from "../feed/records";

/** A run with its curves, as it is fetched. */
export interface FetchedRun {
  readonly detail: RunDetail;
  readonly curves: RunCurves;
}

/** The runs that were looked at last, and those that may be next: a press then has nothing to wait for. */
export interface RunCache {
  /** Fetches a run, or hands out what is there. */
  get(cell: number, number: number): Promise<FetchedRun>;
  /** The run is another one now. */
  forget(cell: number, number: number): void;
}

/** Runs kept: the one shown, its neighbours, another one over it, and one that somebody points at. */
const kept = 6;

export function createRunCache(records: Records): RunCache {
  const runs = new Map<string, Promise<FetchedRun>>();
  return {
    forget: (cell, number) => void runs.delete(`${cell}/${number}`),
    get(cell, number) {
      const key = `${cell}/${number}`;
      const known = runs.get(key);
      if (known !== undefined) {
        // Asked for last: forgotten last.
        runs.delete(key);
        runs.set(key, known);
        return known;
      }
      const { signal } = new AbortController();
      const fetched = Promise.all([records.run(cell, number, signal), records.curves(cell, number, signal)]).then(
        ([detail, curves]) => {
          // A run that goes on is another one a second later.
          if (detail.run.end === null) runs.delete(key);
          return { detail, curves };
        },
        (error: unknown) => {
          runs.delete(key);
          throw error;
        },
      );
      runs.set(key, fetched);
      for (const oldest of runs.keys()) {
        if (runs.size <= kept) break;
        runs.delete(oldest);
      }
      return fetched;
    },
  };
}
