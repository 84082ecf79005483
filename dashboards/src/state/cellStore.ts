import type { CellState } from "../feed/contract";
import type { CellLayout } from "../feed/layoutContract";
import { createTraces, type Traces } from "./traces";

/** How the page stands with the service. */
export type Link =
  | { readonly kind: "opening" }
  /** Connected, but what was missed is still being fetched. */
  | { readonly kind: "filling" }
  | { readonly kind: "live" }
  | {
      readonly kind: "lost";
      /** By the page's own clock, ms. */
      readonly sinceMs: number;
      /** When the next attempt comes, by the page's own clock; null while it is being made. */
      readonly nextAttemptMs: number | null;
      /** Whether this page has ever been connected. */
      readonly wasLive: boolean;
    };

/** Everything the page knows of one cell. One writer (the feed), many readers (charts, prompt). */
export interface CellStore {
  link: Link;
  layout: CellLayout | null;
  state: CellState | null;
  traces: Traces | null;
  /** When the newest scan came in, by the page's own clock, ms; null before the first. */
  lastScanAtMs: number | null;
  /** When anything last came in, by the page's own clock, and what time of the cell it carried. */
  heard: { readonly atMs: number; readonly t: number } | null;
}

export const createCellStore = (): CellStore => ({
  link: { kind: "opening" },
  layout: null,
  state: null,
  traces: null,
  lastScanAtMs: null,
  heard: null,
});

/** Readings further apart than this are not joined (definitions of a gap: 5 intervals, at least 1 s, at most 3 s, but at least 1.5 intervals). */
export function gapMs(interval_s: number): number {
  return 1000 * Math.max(Math.min(Math.max(5 * interval_s, 1), 3), 1.5 * interval_s);
}

/** A reading older than this is shown as old (3 intervals, at least 1 s). */
export const staleMs = (interval_s: number): number => 1000 * Math.max(3 * interval_s, 1);

/** Channels whose limit an alarm says is broken at this moment. */
export const alarmedChannels = (store: CellStore): ReadonlySet<string> =>
  new Set(
    (store.state?.alarms ?? []).flatMap((alarm) =>
      alarm.channel === null || alarm.state === "returnedUnacknowledged" ? [] : [alarm.channel],
    ),
  );

const hoursKept = 2;

/** Begins anew with a layout: another session of the service knows nothing of the sequence numbers of the one before. */
export function adoptLayout(store: CellStore, layout: CellLayout): void {
  const same =
    store.layout !== null &&
    store.layout.session === layout.session &&
    store.layout.cell === layout.cell &&
    store.layout.channels.map((channel) => channel.id).join() === layout.channels.map((channel) => channel.id).join();
  store.layout = layout;
  if (same && store.traces !== null) return;
  const periods = new Map(layout.devices.map((device) => [device.id, device.period_s]));
  store.traces = createTraces(
    Math.ceil((hoursKept * 3600) / Math.max(layout.interval_s, 0.02)),
    layout.channels.map((channel) => gapMs(periods.get(channel.device) ?? layout.interval_s)),
  );
  store.state = null;
  store.lastScanAtMs = null;
  store.heard = null;
}

/** Time of the cell at this moment: the newest that was heard, carried on by the page's own clock. Null before anything was heard. */
export function cellNow(store: CellStore, nowMs: number): number | null {
  if (store.heard === null) return null;
  // A lost page does not know what time it is there in the run; it stops where it last heard something.
  return store.link.kind === "lost" ? store.heard.t : store.heard.t + (nowMs - store.heard.atMs);
}
