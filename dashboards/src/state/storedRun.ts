import type { FigureLive, GapLive, RunLive } from "../feed/contract";
import { Quality } from "../feed/frames";
import type { CellLayout } from "../feed/layoutContract";
import type { RecordedFigure, RunCurves, RunDetail } from "../feed/records";
import { type CellStore, createCellStore, gapMs } from "./cellStore";
import { createTraces, type Traces } from "./traces";
import { type CellView, viewCell } from "./view";

/** A run of the record, in the shapes in which a live one comes: the same code draws both. */
export interface StoredRun {
  readonly detail: RunDetail;
  readonly store: CellStore;
  readonly view: CellView;
  /** What of it can no longer be read, in plain words. */
  readonly lost: readonly string[];
}

export const finalFigure = (figure: RecordedFigure): FigureLive => ({ ...figure, final: true, usual: null });

/** Rows of a run's curves. Two devices may answer at one moment; a row needs a moment of its own. */
function tracesOf(detail: RunDetail, curves: RunCurves, startMs: number, gaps: readonly number[]): Traces {
  const traces = createTraces(Math.max(1, curves.time_s.length * 2), gaps);
  const columns = detail.channels.map((channel) => curves.curves.find((curve) => curve.channel === channel.id) ?? null);
  const values = new Float32Array(columns.length);
  const qualities = new Uint8Array(columns.length);
  const spikes = new Set(
    curves.marks.flatMap(({ channel, from_s, quality }) =>
      quality === "uncertain:spike" ? [`${channel}/${from_s}`] : [],
    ),
  );
  let last = Number.NEGATIVE_INFINITY;
  curves.time_s.forEach((time_s, row) => {
    last = Math.max(startMs + time_s * 1000, last + 0.001);
    columns.forEach((column, i) => {
      const value = column?.values[row] ?? null;
      const quality = column === null ? Quality.absent : column.quality.charCodeAt(row) - 48;
      values[i] = value ?? Number.NaN;
      qualities[i] = value === null && quality <= Quality.uncertain ? Quality.bad : quality;
    });
    traces.append({ seq: row, t: last, values, qualities });
    for (const [i, channel] of detail.channels.entries())
      if (qualities[i] === Quality.uncertain && spikes.has(`${channel.id}/${time_s}`))
        traces.mark(i, last, "uncertain:spike");
  });
  return traces;
}

/** Stretches of a run in which a channel has no judged reading for longer than a gap. */
export function gapsOf(traces: Traces, ids: readonly string[], startMs: number, endMs: number): GapLive[] {
  const found: GapLive[] = [];
  ids.forEach((channel, i) => {
    let judged = startMs;
    let any = false;
    for (let row = traces.rowAt(startMs); row < traces.end && traces.times[row] <= endMs; row++) {
      if (traces.qualities[i][row] > Quality.uncertain) continue;
      if (traces.times[row] - judged > traces.gapMs[i])
        found.push({ channel, start: judged, end: traces.times[row], reason: null });
      judged = traces.times[row];
      any = true;
    }
    // A channel that never had a reading is said so in the figures; hatching all of it would hide the others.
    if (any && endMs - judged > traces.gapMs[i]) found.push({ channel, start: judged, end: endMs, reason: null });
  });
  return found;
}

/**
 * @param cell how the cell stands now; null while it is not known
 */
export function storedRun(detail: RunDetail, curves: RunCurves, cell: CellLayout | null): StoredRun {
  const { run } = detail;
  const startMs = Date.parse(run.start);
  const endMs = run.end === null ? startMs : Date.parse(run.end);
  const periods = new Map(detail.devices.map((device) => [device.id, device.period_s]));
  const interval_s = Math.min(...detail.devices.map((device) => device.period_s), 1);
  const gaps = detail.channels.map((channel) => gapMs(periods.get(channel.device) ?? interval_s));
  const traces = tracesOf(detail, curves, startMs, gaps);
  const layout: CellLayout = {
    cell: run.cell,
    name: cell?.name ?? "",
    demo: cell?.demo ?? false,
    session: `stored/${run.cell}/${run.number}/${run.start}`,
    channels: detail.channels,
    devices: detail.devices,
    interval_s,
    fromSeq: 0,
    usualCycle_s: detail.specInForce?.usualCycle_s ?? null,
    usualPhases: detail.specInForce?.usualPhases ?? [],
    spec: detail.specInForce,
    specs: detail.specInForce === null ? [] : [detail.specInForce],
    now: endMs,
  };
  const live: RunLive = {
    number: run.number,
    carrier: run.carrier,
    kind: run.kind,
    recipe: run.recipe,
    load: run.load,
    startReason: run.startReason,
    start: startMs,
    end: endMs,
    endReason: run.endReason,
    notes: run.notes,
    specName: run.spec?.name ?? null,
    specVersion: run.spec?.version ?? null,
    phases: detail.phases.map((phase) => ({
      phase: phase.phase,
      track: phase.track,
      start: startMs + phase.start_s * 1000,
      end: phase.end_s === null ? endMs : startMs + phase.end_s * 1000,
    })),
    figures: detail.figures.map(finalFigure),
    gaps: [
      ...gapsOf(
        traces,
        detail.channels.map((channel) => channel.id),
        startMs,
        endMs,
      ),
      ...curves.marks.flatMap(({ channel, from_s, to_s, quality }): GapLive[] =>
        quality === "uncertain:detached"
          ? [{ channel, start: startMs + from_s * 1000, end: startMs + to_s * 1000, reason: "detached" }]
          : [],
      ),
    ],
    verdict: run.verdict,
    reasons: run.reasons,
  };
  const store: CellStore = {
    ...createCellStore(),
    link: { kind: "live" },
    layout,
    traces,
    state: { cell: run.cell, seq: 0, t: endMs, runs: [live], alarms: [], hiddenAlarms: [], devices: [], filtered: [] },
    // The picture is as of the last reading: nothing in it grows old.
    lastScanAtMs: 0,
    heard: { atMs: 0, t: traces.lastTime },
  };
  const view = viewCell(store, 0);
  if (view === null) throw new Error("a stored run has a layout and traces");
  // Where a limit is missed, the channel that missed it stands out, not the one that is hottest at the end.
  const missed = view.figures.find(
    (row) => row.standing === "outside" && view.temperatures.some((channel) => channel.layout.id === row.channel),
  );
  return { detail, store, view: { ...view, deciding: missed?.channel ?? view.deciding }, lost: curves.lost };
}
