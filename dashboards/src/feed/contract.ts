/**
 * The shapes that arrive from /hubs/live, the same in MessagePack and JSON.
 * Times are milliseconds since 1970-01-01T00:00:00Z; temperatures degC, pressures mbar absolute.
 */
export type Unit = "degC" | "mbar" | "mV" | "1";
export type Role =
  | "product"
  | "vapour"
  | "transport"
  | "pressure"
  | "barometer"
  | "motion"
  | "position"
  | "sump"
  | "heater"
  | "coolingWater"
  | "coldJunction"
  | "signal"
  | "auxiliary";

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
export interface ChannelLayout {
  readonly id: string;
  readonly name: string;
  readonly role: Role;
  readonly place: "joint" | "body" | "board" | "air" | null;
  readonly carrier: string | null;
  readonly unit: Unit;
  readonly device: string;
  readonly liquidus: number | null;
}
export interface DeviceLayout {
  readonly id: string;
  readonly name: string;
  readonly period_s: number;
}
export type Track = "thermal" | "vacuum";
export interface UsualPhase {
  readonly phase: string;
  readonly track: Track;
  readonly start_s: number;
  readonly duration_s: number;
}
export interface LimitLayout {
  readonly figure: string;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly level: number | null;
  readonly severity: "fail" | "warn";
  readonly document: string | null;
}
export interface SpecLayout {
  readonly name: string;
  readonly version: number;
  readonly alloy: string;
  readonly solidus: number;
  readonly liquidus: number;
  readonly soakFrom: number | null;
  readonly soakTo: number | null;
  readonly vacuumTarget: number | null;
  readonly limits: readonly LimitLayout[];
  /** Of the last good runs by this spec. */
  readonly usualCycle_s: number | null;
  readonly usualPhases: readonly UsualPhase[];
}
export interface CellLayout {
  readonly cell: number;
  readonly name: string;
  readonly demo: boolean;
  /** Changes when the service starts anew. */
  readonly session: string;
  readonly channels: readonly ChannelLayout[];
  /** Also those that have had no run yet; left out by a service that was installed before these pages. */
  readonly carriers?: readonly string[];
  readonly devices: readonly DeviceLayout[];
  readonly interval_s: number;
  readonly fromSeq: number;
  /** Of runs by `spec`, the one below. */
  readonly usualCycle_s: number | null;
  readonly usualPhases: readonly UsualPhase[];
  /** Of a run of which nothing tells another. */
  readonly spec: SpecLayout | null;
  /** Every one that runs may be judged by here. */
  readonly specs: readonly SpecLayout[];
  readonly now: number;
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
export interface AlarmLive {
  readonly id: string;
  readonly condition: string;
  readonly channel: string | null;
  readonly state:
    | "unacknowledged"
    | "acknowledged"
    | "returnedUnacknowledged"
    | "latchedUnacknowledged"
    | "latchedAcknowledged"
    | "shelved"
    | "suppressedByDesign"
    | "outOfService";
  /** Null: never raised, and put aside all the same. */
  readonly since: number | null;
  readonly value: number | null;
  readonly limit: number | null;
  /** Unit of both; null if they are numbers, or there are none. */
  readonly unit?: string | null;
  readonly priority: "high" | "medium" | "low";
  readonly holds: boolean;
  readonly run: number | null;
  readonly figure: string | null;
  /** Whom outside the cell it is about, such as a feed. */
  readonly source?: string | null;
  /** What that one says, in its own language. */
  readonly words?: string | null;
  readonly text: string;
  readonly where: string;
  readonly what: string;
  readonly consequence: string;
  readonly action: string;
  readonly howLong: string;
  /** The same sentences in German. */
  readonly de?: AlarmWords;
  readonly timeToAct_s: number | null;
  readonly by: string;
  readonly comment: string;
  readonly until: number | null;
}
/** What an alarm says, in one language. */
export interface AlarmWords {
  readonly where: string;
  readonly what: string;
  readonly consequence: string;
  readonly action: string;
  readonly howLong: string;
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
/** What moves in an alarm while it stands; its texts stay. */
export interface AlarmNumbers {
  readonly id: string;
  readonly value: number | null;
  readonly timeToAct_s: number | null;
}

/** What somebody asks for an alarm; the name of the person goes with each. */
export interface AlarmOrders {
  /** Somebody has seen the alarm; the comment says what was done. */
  acknowledge(cell: number, alarmId: string, by: string, comment: string): Promise<void>;
  /** Somebody puts the alarm aside for some minutes; `once`: it comes back as soon as its condition is gone. */
  shelve(cell: number, alarmId: string, by: string, reason: string, minutes: number, once: boolean): Promise<void>;
  unshelve(cell: number, alarmId: string, by: string): Promise<void>;
  outOfService(cell: number, alarmId: string, by: string, reason: string): Promise<void>;
  returnToService(cell: number, alarmId: string, by: string, comment: string): Promise<void>;
  /** Somebody lets a latched alarm go. */
  reset(cell: number, alarmId: string, by: string, comment: string): Promise<void>;
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
