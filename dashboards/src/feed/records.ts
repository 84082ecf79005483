import type { AlarmLive } from "./alarmContract";
import type { RunLive } from "./contract";
import type { ChannelLayout, DeviceLayout, SpecLayout, Track } from "./layoutContract";
import type { Decision, DecisionKind } from "./papers";

/** The shapes that arrive from /api/v1. Times RFC 3339 in UTC, temperatures degC, pressures mbar absolute. */
export type Verdict = "pass" | "fail" | "undetermined";

export interface RecordedFigure {
  readonly figure: string;
  readonly channel: string | null;
  readonly value: number | null;
  readonly low: number | null;
  readonly high: number | null;
  readonly unit: string;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly verdict: Verdict | null;
  readonly reason: string | null;
  readonly notes: readonly string[];
  readonly margin: number | null;
  /** Expanded uncertainty, k = 2. */
  readonly U: number | null;
  readonly severity: "fail" | "warn" | null;
  readonly decidedBy: string | null;
}
export interface RecordedPhase {
  readonly phase: string;
  readonly track: Track;
  readonly start_s: number;
  readonly end_s: number | null;
}
export interface RunSummary {
  readonly cell: number;
  readonly number: number;
  readonly carrier: string;
  readonly kind: RunLive["kind"];
  readonly recipe: number | null;
  readonly load: number | null;
  readonly startReason: string;
  readonly start: string;
  readonly end: string | null;
  readonly endReason: string | null;
  readonly spec: { readonly name: string; readonly version: number } | null;
  readonly verdict: Verdict | null;
  readonly reasons: readonly string[];
  readonly notes: readonly string[];
  /** What was soldered; null: nobody has said. */
  readonly product: string | null;
  readonly serials: readonly string[];
  /** The decision of a person that stands; null: not yet made. */
  readonly decision: Decision | null;
}
export interface ListedRun extends RunSummary {
  /** Of each limit the figure at the channel with the least room. */
  readonly tightest: readonly RecordedFigure[];
  readonly phases: readonly RecordedPhase[];
}
export interface RunPage {
  readonly runs: readonly ListedRun[];
  readonly next: number | null;
}
export interface RunDetail {
  readonly run: RunSummary;
  readonly figures: readonly RecordedFigure[];
  readonly phases: readonly RecordedPhase[];
  readonly channels: readonly ChannelLayout[];
  readonly devices: readonly DeviceLayout[];
  readonly specInForce: SpecLayout | null;
  readonly previous: number | null;
  readonly next: number | null;
}
export interface RunCurves {
  readonly start: string;
  readonly time_s: readonly number[];
  readonly curves: readonly {
    readonly channel: string;
    readonly unit: string;
    readonly values: readonly (number | null)[];
    /** A digit for each time: 0 good, 1 uncertain, 2 bad, 3 not in this scan. */
    readonly quality: string;
  }[];
  /** Readings that turned out to be worth less than they seemed: one, or all of a channel's in a stretch. */
  readonly marks: readonly {
    readonly channel: string;
    readonly from_s: number;
    readonly to_s: number;
    /** As in files: uncertain:spike, uncertain:detached. */
    readonly quality: string;
  }[];
  readonly lost: readonly string[];
}
export interface RunShape {
  readonly start: string;
  readonly length_s: number;
  readonly of: "product" | "vapour";
  readonly low: readonly (number | null)[];
  readonly high: readonly (number | null)[];
  readonly pressure: readonly (number | null)[];
}
export interface AlarmStep {
  readonly id: number;
  readonly time: string;
  readonly alarmId: string;
  readonly condition: string;
  readonly channel: string | null;
  readonly state: AlarmLive["state"] | "normal";
  readonly predicted: boolean;
  readonly value: number | null;
  readonly limit: number | null;
  readonly run: number | null;
  /** What happened: conditionActive, conditionClears, acknowledge, shelve ... */
  readonly signal: string;
  readonly priority: AlarmLive["priority"];
  /** Who did it; empty: nobody. */
  readonly by: string;
  readonly comment: string;
  /** Until when it is put aside. */
  readonly until: string | null;
  readonly figure: string | null;
  /** Unit of value and limit; null if they are numbers, or there are none. */
  readonly unit?: string | null;
}
export interface AlarmStepPage {
  readonly steps: readonly AlarmStep[];
  readonly next: number | null;
}

/** What is looked for among runs; empty: anything. Dates are days, yyyy-mm-dd. */
export interface RunFilter {
  readonly verdict: Verdict | "";
  readonly product: string;
  readonly serial: string;
  readonly spec: string;
  readonly carrier: string;
  /** `waiting`: runs that wait for a person. */
  readonly decision: DecisionKind | "waiting" | "";
  readonly from: string;
  readonly to: string;
}
export const anyRun: RunFilter = {
  verdict: "",
  decision: "",
  product: "",
  serial: "",
  spec: "",
  carrier: "",
  from: "",
  to: "",
};

/** What is given to the service with a question. */
export interface Sent {
  readonly method: "POST" | "PATCH" | "DELETE";
  readonly body: unknown;
}
/** Asks the service for what stands at an address, or gives it something; the answer is its JSON. */
export type Ask = (path: string, signal: AbortSignal, sent?: Sent) => Promise<unknown>;

/** The service answered that it cannot: its own words, and the status. */
export class Refusal extends Error {
  constructor(
    message: string,
    readonly status: number,
  ) {
    super(message);
  }
}

export async function askService(path: string, signal: AbortSignal, sent?: Sent): Promise<unknown> {
  const response = await fetch(path, {
    signal,
    method: sent?.method ?? "GET",
    headers: { accept: "application/json", ...(sent === undefined ? {} : { "content-type": "application/json" }) },
    body: sent === undefined || sent.method === "DELETE" ? null : JSON.stringify(sent.body),
  });
  if (response.ok) return response.json();
  const problem: unknown = await response.json().catch(() => null);
  const detail = (problem as { detail?: unknown } | null)?.detail;
  throw new Refusal(typeof detail === "string" ? detail : `${response.status}`, response.status);
}

/** The record of one cell's runs and alarms. */
export interface Records {
  runs(cell: number, filter: RunFilter, before: number | null, signal: AbortSignal): Promise<RunPage>;
  run(cell: number, number: number, signal: AbortSignal): Promise<RunDetail>;
  curves(cell: number, number: number, signal: AbortSignal): Promise<RunCurves>;
  shape(run: RunSummary, signal: AbortSignal): Promise<RunShape>;
  alarms(cell: number, before: number | null, signal: AbortSignal): Promise<AlarmStepPage>;
}

/** Runs on one page of the list, and steps on one of the history. */
export const runsAPage = 30;
export const stepsAPage = 100;

/** A day at its first or last moment, in the person's own time. */
function moment(day: string, end: boolean): string | null {
  const at = new Date(`${day}T${end ? "23:59:59.999" : "00:00:00"}`);
  return day === "" || Number.isNaN(at.getTime()) ? null : at.toISOString();
}

export function createRecords(ask: Ask): Records {
  const at = (cell: number): string => `/api/v1/cells/${cell}`;
  return {
    runs(cell, filter, before, signal) {
      const query = new URLSearchParams({ limit: String(runsAPage) });
      const wanted = {
        before: before === null ? null : String(before),
        verdict: filter.verdict,
        product: filter.product.trim(),
        serial: filter.serial.trim(),
        spec: filter.spec.trim(),
        carrier: filter.carrier.trim(),
        decision: filter.decision === "waiting" ? "" : filter.decision,
        open: filter.decision === "waiting" ? "true" : "",
        from: moment(filter.from, false),
        to: moment(filter.to, true),
      };
      for (const [key, value] of Object.entries(wanted)) if (value !== null && value !== "") query.set(key, value);
      return ask(`${at(cell)}/runs?${query}`, signal) as Promise<RunPage>;
    },
    run: (cell, number, signal) => ask(`${at(cell)}/runs/${number}`, signal) as Promise<RunDetail>,
    curves: (cell, number, signal) => ask(`${at(cell)}/runs/${number}/curves`, signal) as Promise<RunCurves>,
    // The start tells runs of one number apart that belong to different records, for what the browser keeps.
    shape: (run, signal) =>
      ask(
        `${at(run.cell)}/runs/${run.number}/shape?columns=120&start=${encodeURIComponent(run.start)}`,
        signal,
      ) as Promise<RunShape>,
    alarms: (cell, before, signal) =>
      ask(
        `${at(cell)}/alarms/history?limit=${stepsAPage}${before === null ? "" : `&before=${before}`}`,
        signal,
      ) as Promise<AlarmStepPage>,
  };
}
