import type { AlarmStep, Records } from "../feed/records";
import type { Asked } from "./asked";
import { createGrowingList } from "./growingList";

/** One time that an alarm came and went. Times ms since 1970. */
export interface Episode {
  readonly key: string;
  readonly alarmId: string;
  readonly condition: string;
  readonly channel: string | null;
  readonly predicted: boolean;
  /** Null: it began before what has been fetched. */
  readonly beganMs: number | null;
  /** When its condition held no more; null: it still holds. */
  readonly endedMs: number | null;
  readonly seenMs: number | null;
  /** Newest step of it, for its place in the list. */
  readonly newestMs: number;
  readonly value: number | null;
  readonly limit: number | null;
  readonly run: number | null;
  readonly figure: string | null;
  readonly unit?: string | null;
  /** Whether it was told to anybody; what was suppressed from beginning to end was not. */
  readonly told: boolean;
  /** What people did, in order. */
  readonly doings: readonly Doing[];
}

/** What somebody did for an alarm. */
export interface Doing {
  readonly kind: "acknowledge" | "shelve" | "unshelve" | "outOfService" | "returnToService" | "reset";
  readonly atMs: number;
  readonly by: string;
  readonly comment: string;
  readonly untilMs: number | null;
}

const doingOf: Readonly<Record<string, Doing["kind"]>> = {
  acknowledge: "acknowledge",
  shelve: "shelve",
  unshelveActive: "unshelve",
  unshelveNormal: "unshelve",
  removeFromService: "outOfService",
  returnActive: "returnToService",
  returnNormal: "returnToService",
  reset: "reset",
};

/** States in which an alarm can be when the first that is known of it happens. */
const beginnings: ReadonlySet<AlarmStep["state"]> = new Set([
  "unacknowledged",
  "shelved",
  "suppressedByDesign",
  "outOfService",
]);

/** States in which the condition holds no more, though the alarm still stands. */
const over: ReadonlySet<AlarmStep["state"]> = new Set([
  "returnedUnacknowledged",
  "latchedUnacknowledged",
  "latchedAcknowledged",
]);

type Growing = { -readonly [K in keyof Episode]: K extends "doings" ? Doing[] : Episode[K] };

/**
 * Steps of alarms as episodes, newest first. An alarm begins with "unacknowledged" and is over when its condition no
 * longer holds; it is seen when it goes to "acknowledged", or from "returned" to normal.
 * @param steps newest first, as they are fetched
 */
export function episodesOf(steps: readonly AlarmStep[]): Episode[] {
  const open = new Map<string, Growing>();
  const found: Growing[] = [];
  for (const step of [...steps].reverse()) {
    const atMs = Date.parse(step.time);
    let episode = open.get(step.alarmId);
    if (episode === undefined || (step.state === "unacknowledged" && episode.endedMs !== null)) {
      episode = {
        key: `${step.alarmId}/${step.id}`,
        alarmId: step.alarmId,
        condition: step.condition,
        channel: step.channel,
        predicted: step.predicted,
        beganMs: beginnings.has(step.state) ? atMs : null,
        endedMs: null,
        seenMs: null,
        newestMs: atMs,
        value: step.value,
        limit: step.limit,
        run: step.run,
        figure: step.figure,
        unit: step.unit ?? null,
        told: false,
        doings: [],
      };
      open.set(step.alarmId, episode);
      found.push(episode);
    }
    episode.newestMs = atMs;
    episode.told ||= step.state !== "suppressedByDesign" && step.state !== "normal";
    const kind = doingOf[step.signal];
    // A shelf that ends by its time is nobody's doing.
    if (kind !== undefined && step.by !== "")
      episode.doings.push({
        kind,
        atMs,
        by: step.by,
        comment: step.comment,
        untilMs: step.until === null ? null : Date.parse(step.until),
      });
    episode.value = step.value ?? episode.value;
    episode.limit = step.limit ?? episode.limit;
    episode.run = episode.run ?? step.run;
    if (step.state === "acknowledged" || step.state === "latchedAcknowledged") episode.seenMs ??= atMs;
    if (over.has(step.state)) episode.endedMs ??= atMs;
    if (step.state === "normal") {
      // From "returned" it goes to normal because somebody has seen it; else because it no longer holds.
      if (episode.endedMs !== null) episode.seenMs ??= atMs;
      episode.endedMs ??= atMs;
      open.delete(step.alarmId);
    }
  }
  return found.filter((episode) => episode.told).sort((a, b) => b.newestMs - a.newestMs);
}

/** The history of a cell's alarms, growing as somebody scrolls. */
export interface AlarmHistory {
  readonly episodes: readonly Episode[];
  readonly more: boolean;
  readonly asked: Asked<null>;
  begin(cell: number): void;
  next(): void;
  leave(): void;
}

export function createAlarmHistory(records: Records, nowMs: () => number, changed: () => void): AlarmHistory {
  const steps = createGrowingList<number, AlarmStep>(
    {
      fetch: async (cell, before, signal) => {
        const page = await records.alarms(cell, before, signal);
        return { items: page.steps, next: page.next };
      },
      keyOf: (step) => step.id,
      // It is fetched anew when it has grown: what was there is still true.
      keeps: true,
    },
    nowMs,
    changed,
  );
  let told: { readonly of: readonly AlarmStep[]; readonly episodes: Episode[] } = { of: [], episodes: [] };
  return {
    get episodes() {
      if (told.of !== steps.items) told = { of: steps.items, episodes: episodesOf(steps.items) };
      return told.episodes;
    },
    get more() {
      return steps.more;
    },
    get asked() {
      return steps.asked;
    },
    begin: steps.begin,
    next: steps.next,
    leave: steps.leave,
  };
}
