/** How a cell is laid out, as it arrives from /hubs/live: its channels, devices and spec. */
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
