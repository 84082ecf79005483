import type { GapLive, RunLive } from "../../../src/feed/contract";
import { type RunRecord, scriptedFigures, scriptedPhases } from "./figures";

/** A run of a played cell. */
export interface PlayedRun {
  readonly number: number;
  readonly record: RunRecord;
  readonly startMs: number;
  /** Null while it goes on. */
  readonly endMs: number | null;
  /** What people, or a signal, said of it. */
  readonly said: Pick<RunLive, "kind" | "notes" | "startReason">;
  readonly gaps: readonly GapLive[];
  readonly peakLimit: number;
  /** Whether it is judged by a spec. */
  readonly spec: boolean;
}

/** The run as the hub tells it. */
export function scriptedRun({ number, record, startMs, endMs, said, gaps, peakLimit, spec }: PlayedRun): RunLive {
  const ended = endMs !== null;
  const figures = scriptedFigures(record, ended, peakLimit);
  const failed = figures.find((figure) => figure.verdict === "fail" && figure.severity === "fail");
  return {
    ...said,
    number,
    carrier: "B",
    recipe: null,
    load: null,
    start: startMs,
    end: endMs,
    endReason: ended ? "cooled" : null,
    specName: spec ? "Inverter power board PB-6" : null,
    specVersion: spec ? 3 : null,
    phases: scriptedPhases(record, startMs, ended),
    figures: spec ? figures : [],
    gaps,
    verdict: ended ? (failed === undefined ? "pass" : "fail") : null,
    reasons: failed === undefined ? [] : [failed.figure],
  };
}
