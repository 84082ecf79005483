import type { Ask } from "./records";

/** The shapes that arrive from /api/v1/feeds. Times RFC 3339 in UTC. */
export interface FeedBackfill {
  readonly lane: string;
  readonly first: number;
  readonly confirmed: number;
  readonly last: number;
  /** How much of it is confirmed, 0 to 1. */
  readonly share: number;
  /** A backlog that live values have passed by; nobody can cancel it. */
  readonly owed: boolean;
}
export interface FeedState {
  readonly id: string;
  readonly kind: string;
  readonly target: string;
  readonly cells: readonly number[];
  readonly state: "sending" | "waiting" | "refused" | "paused";
  /** What the other side said last when it did not confirm, or what is missing on ours; empty while all is well. */
  readonly reason: string;
  readonly lagSeconds: number;
  readonly alarmAfterSeconds: number;
  readonly backlogEntries: number;
  readonly failures: number;
  readonly precision: string;
  /** Devices that set their own pace, whose scans may lie closer together than times are sent. */
  readonly closeDevices: readonly { readonly cell: number; readonly device: string }[];
  /** Scans since the start of the service whose time, as sent, is that of the device's scan before. */
  readonly sharedTimes: number;
  readonly backfills: readonly FeedBackfill[];
  readonly quarantine: {
    readonly lines: number;
    readonly since: string | null;
    readonly words: string;
    readonly isNew: boolean;
    readonly resending: number;
  };
}
export interface LagStep {
  readonly start: string;
  readonly lagSeconds: number;
  readonly backlogEntries: number;
}
export interface LagHour {
  readonly stepSeconds: number;
  readonly steps: readonly LagStep[];
}
export interface RefusedLine {
  readonly number: number;
  readonly time: string;
  readonly line: string;
  readonly words: string;
}
export interface RefusedLines {
  readonly lines: readonly RefusedLine[];
  readonly next: number | null;
}

/** What a person may ask of a feed; each stands in the trail under the person's name. */
export type FeedOrder =
  | "pause"
  | "resume"
  | "backfill"
  | "backfill/cancel"
  | "quarantine/retry"
  | "quarantine/discard"
  | "quarantine/acknowledge";

/** To whom the record is sent. */
export interface Feeds {
  list(signal: AbortSignal): Promise<readonly FeedState[]>;
  lag(id: string, signal: AbortSignal): Promise<LagHour>;
  refused(id: string, after: number, signal: AbortSignal): Promise<RefusedLines>;
  /** Address of the file with all refused lines. */
  exportOf(id: string): string;
  order(id: string, what: FeedOrder, said: Readonly<Record<string, unknown>>): Promise<FeedState>;
}

/** Refused lines on one page. */
export const refusedAPage = 20;

export function createFeeds(ask: Ask): Feeds {
  const at = (id: string): string => `/api/v1/feeds/${encodeURIComponent(id)}`;
  return {
    list: async (signal) => ((await ask("/api/v1/feeds", signal)) as { feeds: readonly FeedState[] }).feeds,
    lag: (id, signal) => ask(`${at(id)}/lag`, signal) as Promise<LagHour>,
    refused: (id, after, signal) =>
      ask(`${at(id)}/quarantine?after=${after}&limit=${refusedAPage}`, signal) as Promise<RefusedLines>,
    exportOf: (id) => `${at(id)}/quarantine/export`,
    order: (id, what, body) =>
      ask(`${at(id)}/${what}`, new AbortController().signal, { method: "POST", body }) as Promise<FeedState>,
  };
}
