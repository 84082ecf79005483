import type { FeedState, LagHour, RefusedLine } from "../../../src/feed/feeds";
import { Refusal, type Sent } from "../../../src/feed/records";

type Standing = { -readonly [K in keyof FeedState]: FeedState[K] };

/** Feeds of a played service: how they stand is for the test to say. */
export class ScriptedFeeds {
  readonly feeds: Standing[];
  readonly refused = new Map<string, RefusedLine[]>();
  /** What people asked for. */
  readonly orders: { readonly id: string; readonly what: string; readonly body: unknown }[] = [];
  /** How many questions came. */
  asked = 0;
  /** The service answers to nothing. */
  down = false;

  constructor(
    count: number,
    private readonly nowMs: () => number,
  ) {
    const made: Standing[] = [
      this.feed(
        "historian",
        "influx",
        "http://historian:8086, bucket plant",
        "ms: finer parts are cut off, towards the past",
      ),
      this.feed("broker", "mqtt", "broker:1883, plant/hall2/#", "the record's 100 ns in full, as RFC 3339 text"),
      this.feed("host", "sparkplug", "broker:1883, spBv1.0/plant/+/hall2/#", "ms, UTC"),
    ];
    this.feeds = made.slice(0, count);
  }

  private feed(id: string, kind: string, target: string, precision: string): Standing {
    return {
      id,
      kind,
      target,
      cells: [1],
      state: "sending",
      reason: "",
      lagSeconds: 0.1,
      alarmAfterSeconds: 60,
      backlogEntries: 1,
      failures: 0,
      precision,
      closeDevices: [],
      sharedTimes: 0,
      backfills: [],
      quarantine: { lines: 0, since: null, words: "", isNew: false, resending: 0 },
    };
  }

  /** The other side refuses lines. */
  refuse(id: string, count: number, words: string): void {
    const lines = Array.from({ length: count }, (_, i) => ({
      number: i + 1,
      time: "2026-11-25T07:00:00Z",
      line: `temperature,cell=1,channel=tc${i + 1},role=product value=231.25,quality=0i 1764054000000`,
      words,
    }));
    this.refused.set(id, lines);
    this.of(id).quarantine = { lines: count, since: lines[0].time, words, isNew: true, resending: 0 };
  }

  of(id: string): Standing {
    const found = this.feeds.find((feed) => feed.id === id);
    if (found === undefined) throw new Refusal(`There is no feed ${id} here.`, 404);
    return found;
  }

  answer(path: string, sent?: Sent): unknown {
    this.asked++;
    if (this.down) throw new TypeError("Failed to fetch");
    const url = new URL(path, "http://service");
    const [id, ...rest] = url.pathname.split("/").slice(4);
    if (id === undefined) return { feeds: structuredClone(this.feeds) };
    const what = rest.join("/");
    if (what === "lag") return this.lag(this.of(id));
    if (what === "quarantine") {
      const after = Number(url.searchParams.get("after"));
      const limit = Number(url.searchParams.get("limit"));
      const lines = (this.refused.get(id) ?? []).filter((line) => line.number > after).slice(0, limit);
      return { lines, next: lines.length === limit ? lines.at(-1)?.number : null };
    }
    this.orders.push({ id, what, body: sent?.body });
    this.obey(this.of(id), what);
    return structuredClone(this.of(id));
  }

  private obey(feed: Standing, what: string): void {
    if (what === "pause") feed.state = "paused";
    if (what === "resume") feed.state = "sending";
    if (what === "backfill")
      feed.backfills = [{ lane: "cell-1", first: 1, confirmed: 3700, last: 10_000, share: 0.37, owed: false }];
    if (what === "backfill/cancel") feed.backfills = [];
    if (what === "quarantine/discard" || what === "quarantine/retry")
      feed.quarantine = { lines: 0, since: null, words: "", isNew: false, resending: 0 };
    if (what === "quarantine/acknowledge") feed.quarantine = { ...feed.quarantine, isNew: false };
  }

  /** Quick but for ten minutes in which the other side was away. */
  private lag(feed: FeedState): LagHour {
    const now = Math.floor(this.nowMs() / 30_000) * 30_000;
    const steps = Array.from({ length: 100 }, (_, i) => {
      const away = feed.id === "historian" && i > 40 && i < 60 ? (i - 40) * 30 : 0.12;
      return {
        start: new Date(now - (99 - i) * 30_000).toISOString(),
        lagSeconds: away,
        backlogEntries: Math.round(away * 10),
      };
    });
    return { stepSeconds: 30, steps };
  }
}
