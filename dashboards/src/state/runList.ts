import type { ListedRun, Records, RunFilter, RunPage } from "../feed/records";
import { type Asked, failed, isAbort } from "./asked";

/** A list of runs that grows as somebody scrolls. */
export interface RunList {
  readonly runs: readonly ListedRun[];
  /** Whether there are older ones. */
  readonly more: boolean;
  /** The page asked for last. */
  readonly asked: Asked<null>;
  /** Begins anew; what was asked before is no longer waited for. */
  begin(cell: number, filter: RunFilter): void;
  /** Asks for the next page, unless one is on its way or there is none; after a failure it asks again. */
  next(): void;
  /** Nothing is waited for any more. */
  leave(): void;
}

export function createRunList(records: Records, nowMs: () => number, changed: () => void): RunList {
  let runs: ListedRun[] = [];
  let before: number | null = null;
  let more = false;
  let asked: Asked<null> = { kind: "here", value: null };
  let of: { readonly cell: number; readonly filter: RunFilter } | null = null;
  let waiting: AbortController | null = null;

  const ask = async (): Promise<void> => {
    if (of === null) return;
    const mine = new AbortController();
    waiting = mine;
    asked = { kind: "asking", sinceMs: nowMs() };
    changed();
    try {
      const page: RunPage = await records.runs(of.cell, of.filter, before, mine.signal);
      if (waiting !== mine) return;
      const known = new Set(runs.map((run) => run.number));
      runs = [...runs, ...page.runs.filter((run) => !known.has(run.number))];
      before = page.next;
      more = page.next !== null;
      asked = { kind: "here", value: null };
    } catch (error) {
      if (waiting !== mine || isAbort(error)) return;
      asked = failed(error);
    }
    waiting = null;
    changed();
  };

  return {
    get runs() {
      return runs;
    },
    get more() {
      return more;
    },
    get asked() {
      return asked;
    },
    begin(cell, filter) {
      waiting?.abort();
      of = { cell, filter };
      runs = [];
      before = null;
      more = false;
      void ask();
    },
    next() {
      if (asked.kind === "asking" || (asked.kind === "here" && !more)) return;
      void ask();
    },
    leave() {
      waiting?.abort();
      waiting = null;
      asked = { kind: "here", value: null };
      of = null;
    },
  };
}
