import type { AlarmLive, AlarmNumbers, AlarmOrders } from "./alarmContract";
import type { CellLayout, Track } from "./layoutContract";

/**
 * The shapes that arrive from /hubs/live, the same in MessagePack and JSON.
 * Times are milliseconds since 1970-01-01T00:00:00Z; temperatures degC, pressures mbar absolute.
 */

/** Live, these four come as the arguments of `scan(cell, seq, t, data)`; a refill holds them as objects. */
export interface ScanFrame {
  readonly cell: number;
  /** Rises, with holes. */
  readonly seq: number;
  readonly t: number;
  /** float32 LE a channel (NaN: no value), then 2 quality bits each, first channel lowest: 0 good, 1 uncertain, 2 bad, 3 not in this scan. */
  readonly data: Uint8Array;
}
/** A reading has turned out to be worth less than its frame said: a spike shows only beside its follower, a thermocouple that came off later. */
export interface ReadingMark {
  readonly cell: number;
  readonly channel: string;
  /** The `t` of its frame. */
  readonly t: number;
  /** In a refill: the last of the readings it is said of, whose frames say uncertain already; else null. */
  readonly to?: number | null;
  /** As in files: uncertain:spike, uncertain:detached. */
  readonly quality: string;
}
export interface Refill {
  readonly cell: number;
  readonly frames: readonly ScanFrame[];
  /** Set while these frames came; some on frames just before them. */
  readonly marks: readonly ReadingMark[];
  readonly more: boolean;
}
export interface CellName {
  readonly cell: number;
  readonly name: string;
}
export interface PhaseLive {
  readonly phase: string;
  readonly track: Track;
  readonly start: number;
  readonly end: number | null;
}
export interface GapLive {
  readonly channel: string;
  readonly start: number;
  readonly end: number | null;
  /** `detached`: readings come, but the thermocouple no longer shows its joint; null: there are none to judge. */
  readonly reason: "detached" | null;
}
export interface FigureLive {
  readonly figure: string;
  readonly channel: string | null;
  readonly value: number | null;
  readonly low: number | null;
  readonly high: number | null;
  readonly unit: string;
  /** Expanded uncertainty of the value, k = 2; null if not known. */
  readonly U: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly verdict: "pass" | "fail" | "undetermined" | null;
  readonly reason: string | null;
  readonly decidedBy: string | null;
  readonly severity: "fail" | "warn" | null;
  readonly notes: readonly string[];
  readonly margin: number | null;
  readonly usual: number | null;
  readonly final: boolean;
}
export interface RunLive {
  readonly number: number;
  readonly carrier: string;
  readonly kind: "profile" | "verification" | "production" | "empty" | "maintenance";
  readonly recipe: number | null;
  readonly load: number | null;
  readonly startReason: string;
  readonly start: number;
  readonly end: number | null;
  readonly endReason: string | null;
  readonly notes: readonly string[];
  readonly specName: string | null;
  readonly specVersion: number | null;
  readonly phases: readonly PhaseLive[];
  readonly figures: readonly FigureLive[];
  readonly gaps: readonly GapLive[];
  readonly verdict: "pass" | "fail" | "undetermined" | null;
  readonly reasons: readonly string[];
}
export interface DeviceLive {
  readonly id: string;
  readonly state: "unknown" | "connecting" | "up" | "suspect" | "down";
  readonly since: number;
  readonly reason: string;
}
/** A smoothed value beside the channel's own: not recorded, not judged. */
export interface FilteredLive {
  readonly channel: string;
  readonly t: number;
  readonly value: number;
  readonly filter: "medianOfThree" | "savitzkyGolay";
}
export interface BudgetLine {
  readonly name: string;
  readonly stated: number;
  readonly form: "standard" | "halfWidth" | "resolution" | "expandedTwice";
  readonly sensitivity: number;
  /** Standard uncertainty that it brings into the result, in the channel's unit. */
  readonly standard: number;
  readonly source: string;
}
/** Where the uncertainty of a channel's newest reading comes from. */
export interface BudgetLive {
  readonly channel: string;
  readonly t: number | null;
  readonly value: number | null;
  readonly U: number | null;
  readonly lines: readonly BudgetLine[];
  readonly notIncluded: readonly string[];
  readonly noUncertainty: string | null;
}
export interface CellState {
  readonly cell: number;
  readonly seq: number;
  readonly t: number;
  readonly runs: readonly RunLive[];
  readonly alarms: readonly AlarmLive[];
  readonly hiddenAlarms: readonly AlarmLive[];
  readonly devices: readonly DeviceLive[];
  readonly filtered: readonly FilteredLive[];
}

/** What has changed in a cell's state since the one before; what is null is as it was. */
export interface CellChange {
  readonly cell: number;
  /** `seq` of the state that this follows: on another one it means nothing. */
  readonly after: number;
  readonly seq: number;
  readonly t: number;
  /** Numbers of the runs in their order. */
  readonly order: readonly number[] | null;
  readonly runs: readonly RunChange[] | null;
  readonly alarms: readonly AlarmLive[] | null;
  readonly hiddenAlarms: readonly AlarmLive[] | null;
  readonly numbers: readonly AlarmNumbers[] | null;
  readonly devices: readonly DeviceLive[] | null;
  readonly filtered: readonly FilteredLive[] | null;
}
export interface RunChange {
  readonly number: number;
  /** The run anew; without figures where they are the same ones. */
  readonly head: RunLive | null;
  /** Places of the figures whose numbers alone are others. */
  readonly at: readonly number[];
  /** Their value, low, high and margin, each float32 LE, NaN for null. */
  readonly data: Uint8Array;
  readonly anew: readonly FigureAnew[] | null;
}
export interface FigureAnew {
  readonly at: number;
  readonly figure: FigureLive;
}

/** What the server offers. A viewer calls `follow`, then receives `scan`, `mark` and `change`; or `watch`, and whole states. */
export interface LiveHub extends AlarmOrders {
  cells(): Promise<readonly CellName[]>;
  layout(cell: number): Promise<CellLayout>;
  /** Frames after `seq`, oldest first; ask again while `more`. */
  since(cell: number, seq: number): Promise<Refill>;
  /** Begin to receive a cell; answers its state of now, and again when it is asked again. */
  follow(cell: number): Promise<CellState>;
  unwatch(cell: number): Promise<void>;
}
