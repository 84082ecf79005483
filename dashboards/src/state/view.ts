import type { FilteredLive, RunLive } from "../feed/contract";
import { Quality } from "../feed/frames";
import type { CellLayout, ChannelLayout, SpecLayout } from "../feed/layoutContract";
import { type CellStore, cellNow, staleMs } from "./cellStore";
import { decidingChannel, type FigureRow, figureRows } from "./figureRows";
import { axisLength } from "./timeAxis";
import type { Traces } from "./traces";

/** A channel as it stands at this moment. */
export interface ChannelView {
  /** Its place in the frames. */
  readonly index: number;
  readonly layout: ChannelLayout;
  /** Number of its curve style from 1; 0 for those that are not product. */
  readonly style: number;
  /** Newest judged value; null before the first. */
  readonly value: number | null;
  /** The value to write at the end of its curve: the newest, or the last of a finished run. */
  readonly shown: number | null;
  /** A smoothed value for the place where the newest is written, and what was done to it; null: none. */
  readonly smooth: { readonly value: number; readonly filter: FilteredLive["filter"] } | null;
  /** How old the newest is by the page's own clock, ms. */
  readonly ageMs: number;
  /** Older than three intervals, at least 1 s. */
  readonly stale: boolean;
  /** Newest reading is good. */
  readonly good: boolean;
}

/** What the cell's page shows, apart from curves. */
export interface CellView {
  readonly layout: CellLayout;
  /** `running`: a run is open. `finished`: none is, the last one stays. `waiting`: there has been none. */
  readonly mode: "running" | "finished" | "waiting";
  readonly run: RunLive | null;
  /** Another carrier's run that goes on at the same time; null: none. */
  readonly beside: RunLive | null;
  /** Zero of the time axis, ms. */
  readonly originMs: number;
  /** Length of the time axis, s. */
  readonly length_s: number;
  /** Now in the run (running), its end (finished), 0 (waiting); s. */
  readonly elapsed_s: number;
  /** Time of the cell, ms; null before anything was heard. */
  readonly nowMs: number | null;
  readonly channels: readonly ChannelView[];
  /** Channels drawn in the upper strip, product first. */
  readonly temperatures: readonly ChannelView[];
  readonly chamber: ChannelView | null;
  readonly figures: readonly FigureRow[];
  readonly deciding: string | null;
  /** How old the newest scan is by the page's own clock, ms; null before the first. */
  readonly ageMs: number | null;
  readonly stale: boolean;
  readonly goodCount: number;
}

/**
 * The run to show: the open one that began last, else the one that ended last.
 * @param carrier whose run somebody asked for; null: whichever it is
 */
export function runToShow(all: readonly RunLive[], carrier: string | null = null): RunLive | null {
  const wanted = all.filter((run) => run.carrier === carrier);
  const runs = wanted.length > 0 ? wanted : all;
  const newest = (list: readonly RunLive[], time: (run: RunLive) => number): RunLive | null =>
    list.reduce<RunLive | null>((best, run) => (best === null || time(run) > time(best) ? run : best), null);
  const open = runs.filter((run) => run.end === null);
  return newest(open, (run) => run.start) ?? newest(runs, (run) => run.end ?? run.start);
}

/** The run of another carrier that is open while this one is. */
const runBeside = (runs: readonly RunLive[], shown: RunLive): RunLive | null =>
  shown.end !== null ? null : (runs.find((run) => run.carrier !== shown.carrier && run.end === null) ?? null);

/** The spec that judges a run: the one that it names; without a name the cell's; null if what it names is no longer in force. */
export function specOf(layout: CellLayout, name: string | null, version: number | null): SpecLayout | null {
  if (name === null) return layout.spec;
  return layout.specs.find((spec) => spec.name === name && spec.version === version) ?? null;
}

/** Last judged reading of a channel in a run that has ended. */
function lastBefore(traces: Traces, channel: number, fromMs: number, untilMs: number): number | null {
  for (let row = traces.rowAt(untilMs + 0.5) - 1; row >= traces.first && traces.times[row] >= fromMs; row--)
    if (traces.qualities[channel][row] <= Quality.uncertain) return traces.values[channel][row];
  return null;
}

const drawnRoles = new Set(["product", "vapour", "transport"]);

/**
 * @param nowMs the page's own clock
 * @param decidedBefore channel that decided in the view before this one
 * @param carrier whose run to show; null: the one that began last
 */
export function viewCell(
  store: CellStore,
  nowMs: number,
  decidedBefore: string | null = null,
  carrier: string | null = null,
): CellView | null {
  const { layout, traces, state } = store;
  if (layout === null || traces === null) return null;
  const run = state === null ? null : runToShow(state.runs, carrier);
  const mode = run === null ? "waiting" : run.end === null ? "running" : "finished";
  const now = cellNow(store, nowMs);
  const sinceHeardMs = store.heard === null ? 0 : nowMs - store.heard.atMs;
  const periods = new Map(layout.devices.map((device) => [device.id, device.period_s]));
  let styles = 0;
  const channels = layout.channels.map((channel, index): ChannelView => {
    const measured = traces.latestTime[index];
    const ageMs = store.heard === null ? Number.POSITIVE_INFINITY : store.heard.t - measured + sinceHeardMs;
    const stale = ageMs > staleMs(periods.get(channel.device) ?? layout.interval_s);
    const value = traces.latestValue[index];
    return {
      index,
      layout: channel,
      style: channel.role === "product" ? (styles++ % 12) + 1 : 0,
      value: Number.isNaN(value) ? null : value,
      shown:
        run !== null && run.end !== null
          ? lastBefore(traces, index, run.start, run.end)
          : Number.isNaN(value)
            ? null
            : value,
      smooth: state?.filtered.find((one) => one.channel === channel.id) ?? null,
      ageMs,
      stale,
      good: !stale && traces.latestQuality[index] === Quality.good,
    };
  });
  const ofCarrier = (channel: ChannelView): boolean =>
    run === null || channel.layout.carrier === null || channel.layout.carrier === run.carrier;
  const temperatures = channels
    .filter((channel) => channel.layout.unit === "degC" && drawnRoles.has(channel.layout.role) && ofCarrier(channel))
    .sort((a, b) => Number(a.style === 0) - Number(b.style === 0) || a.index - b.index);
  const product = temperatures.filter((channel) => channel.style > 0);
  const hottest = product.reduce<ChannelView | null>(
    (best, channel) => ((channel.value ?? -1e9) > (best?.value ?? -1e9) ? channel : best),
    null,
  );
  const spec = specOf(layout, run?.specName ?? null, run?.specVersion ?? null);
  // Where no board is measured, limits of boards are not asked: only what vapour and vacuum show stands there.
  const production = run !== null && run.kind === "production";
  const figures = figureRows(run?.figures ?? [], production ? [] : (spec?.limits ?? [])).filter(
    (row) => !production || row.value !== null || row.low !== null || row.high !== null,
  );
  // What is usual was learnt from runs with sensors on the boards, each by its own spec; it says nothing of when one without began.
  const usual = production ? null : spec;
  const shown: CellLayout = {
    ...layout,
    spec,
    usualPhases: usual?.usualPhases ?? [],
    usualCycle_s: usual?.usualCycle_s ?? null,
  };
  const elapsed_s = run === null ? 0 : Math.max(0, ((run.end ?? now ?? run.start) - run.start) / 1000);
  const ageMs = store.lastScanAtMs === null ? null : nowMs - store.lastScanAtMs;
  return {
    layout: shown,
    mode,
    run,
    beside: run === null ? null : runBeside(state?.runs ?? [], run),
    originMs: run?.start ?? now ?? 0,
    length_s: mode === "finished" ? Math.max(elapsed_s, 10) : axisLength(shown.usualCycle_s, elapsed_s),
    elapsed_s,
    nowMs: now,
    channels,
    temperatures,
    chamber: channels.find((channel) => channel.layout.role === "pressure" && channel.layout.unit === "mbar") ?? null,
    figures,
    deciding:
      mode === "waiting"
        ? null
        : decidingChannel(
            figures,
            new Set(product.map((channel) => channel.layout.id)),
            hottest?.layout.id ?? null,
            decidedBefore,
          ),
    ageMs,
    stale: store.link.kind === "lost" || (ageMs !== null && ageMs > staleMs(layout.interval_s)),
    goodCount: channels.filter((channel) => channel.good).length,
  };
}
