import type { ListedRun, Records, RunFilter } from "../feed/records";
import { createGrowingList, type GrowingList } from "./growingList";

/** Runs of a cell that a search finds, newest first. */
export type RunList = GrowingList<{ readonly cell: number; readonly filter: RunFilter }, ListedRun>;

export const createRunList = (records: Records, nowMs: () => number, changed: () => void): RunList =>
  createGrowingList(
    {
      fetch: async ({ cell, filter }, before, signal) => {
        const { runs, next } = await records.runs(cell, filter, before, signal);
        return { items: runs, next };
      },
      keyOf: (run) => run.number,
      // Another search finds other runs: those of the one before must not stand under it.
      keeps: false,
    },
    nowMs,
    changed,
  );
