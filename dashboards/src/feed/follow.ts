import { applyChange } from "../state/applyChange";
import { adoptLayout, type CellStore, gapMs } from "../state/cellStore";
import type { AlarmOrders } from "./alarmContract";
import { waitBeforeAttempt } from "./backoff";
import type { CellState, ReadingMark, ScanFrame } from "./contract";
import { decodeFrame } from "./frames";
import type { OpenHub, OpenHubFunction } from "./hub";

/** The page's own clock and timer; a test gives its own. */
export interface PageClock {
  /** Monotonic, ms. */
  nowMs(): number;
  after(waitMs: number, action: () => void): () => void;
}

export interface Follower {
  /** Asks now instead of when the next attempt is due, and fetches what a sleeping page has missed. */
  wake(): void;
  /** Gives an order for an alarm of the cell that is followed; fails while there is no connection. */
  order(give: (orders: AlarmOrders, cell: number) => Promise<void>): Promise<void>;
  stop(): void;
}

export interface FollowOptions {
  readonly store: CellStore;
  readonly open: OpenHubFunction;
  readonly clock: PageClock;
  /** Which cell; null: the first the service names. */
  readonly cell: number | null;
  /** From 0 to 1, for the spread of attempts. */
  readonly random: () => number;
  /** Called after every change of the store. */
  readonly changed: (what: "scan" | "state" | "link" | "layout") => void;
}

/** Which runs a state knows, and whether they go on. */
const runsOf = (state: CellState): string =>
  state.runs.map((run) => `${run.carrier}${run.number}${run.end === null}`).join();

/** Follows a cell for ever: connects, fills the hole, takes what comes, and begins again when the connection ends. */
export function follow(options: FollowOptions): Follower {
  const { store, clock, changed } = options;
  let hub: OpenHub | null = null;
  let attempt = 0;
  let wasLive = false;
  let lostSinceMs = clock.nowMs();
  let stopped = false;
  let cancelWait: (() => void) | null = null;
  /** Counts connections, so that the events of one that is gone are known for what they are. */
  let epoch = 0;
  let runs = "";
  /** Frames that came while a hole was being filled; they are newer than what fills it. */
  let waiting: ScanFrame[] | null = null;
  /** Marks that came with them. */
  const waitingMarks: ReadingMark[] = [];

  const take = (frame: ScanFrame): boolean => {
    const { layout, traces } = store;
    if (layout === null || traces === null || frame.cell !== layout.cell) return false;
    const scan = decodeFrame(frame, layout.channels.length);
    return scan !== null && traces.append(scan);
  };
  const takeMark = (mark: ReadingMark): void => {
    const { layout, traces } = store;
    if (layout === null || traces === null || mark.cell !== layout.cell) return;
    const channel = layout.channels.findIndex((one) => one.id === mark.channel);
    if (channel >= 0) traces.mark(channel, mark.t, mark.quality);
  };
  const heard = (t: number): void => {
    const atMs = clock.nowMs();
    if (store.heard !== null && t <= store.heard.t) return;
    store.heard = { atMs, t };
  };

  const fill = async (connection: OpenHub, cell: number, mine: number): Promise<void> => {
    waiting ??= [];
    const { layout, traces } = store;
    if (layout === null || traces === null) return;
    let after = traces.lastSeq >= 0 ? traces.lastSeq : layout.fromSeq - 1;
    for (;;) {
      const refill = await connection.since(cell, after);
      if (mine !== epoch) return;
      for (const frame of refill.frames) take(frame);
      for (const mark of refill.marks) takeMark(mark);
      const last = refill.frames.at(-1);
      if (last === undefined || !refill.more) break;
      after = last.seq;
      changed("scan");
    }
    const held = waiting ?? [];
    waiting = null;
    for (const frame of held) take(frame);
    for (const mark of waitingMarks.splice(0)) takeMark(mark);
    const newest = traces.lastTime;
    if (Number.isFinite(newest)) {
      heard(newest);
      // Readings that only filled a hole are as old as they are: the service's clock tells by how much.
      store.lastScanAtMs = held.length > 0 ? clock.nowMs() : clock.nowMs() - Math.max(0, serverNow() - newest);
    }
  };
  let layoutAtMs = 0;
  const serverNow = (): number => (store.layout === null ? 0 : store.layout.now + (clock.nowMs() - layoutAtMs));

  const onScan = (frame: ScanFrame): void => {
    if (waiting !== null) {
      waiting.push(frame);
      return;
    }
    const { layout, traces } = store;
    if (layout === null || traces === null || hub === null) return;
    // A slow page is sent the newest only. Before a hole is called one, ask whether the record has what fills it.
    if (frame.t - traces.lastTime > gapMs(layout.interval_s) && traces.lastSeq >= 0) {
      waiting = [frame];
      refill(hub, layout.cell);
      return;
    }
    if (!take(frame)) return;
    store.lastScanAtMs = clock.nowMs();
    heard(frame.t);
    changed("scan");
  };

  const refill = (connection: OpenHub, cell: number): void => {
    fill(connection, cell, epoch).then(
      () => changed("scan"),
      () => undefined, // the connection ended meanwhile; `closed` says so
    );
  };

  const onMissed = (seq: number): void => {
    const { layout, traces } = store;
    if (layout === null || traces === null || hub === null || waiting !== null) return;
    traces.rewind(seq);
    refill(hub, layout.cell);
  };

  /** A run has begun or ended: what is usual, and the spec of the next, may be other ones now. */
  const relayout = (state: CellState, mine: number): void => {
    runs = runsOf(state);
    hub?.layout(state.cell).then(
      (layout) => {
        if (mine !== epoch) return;
        layoutAtMs = clock.nowMs();
        adoptLayout(store, layout);
        changed("layout");
      },
      () => undefined, // the connection ended meanwhile; `closed` says so
    );
  };

  /** A change does not fit what is known: the whole state is asked for, once at a time. */
  let asking = false;
  const anew = (connection: OpenHub, cell: number, mine: number): void => {
    if (asking) return;
    asking = true;
    connection
      .follow(cell)
      .then(
        (state) => {
          if (mine !== epoch) return;
          store.state = state;
          heard(state.t);
          changed("state");
          if (runsOf(state) !== runs) relayout(state, mine);
        },
        () => undefined, // the connection ended meanwhile; `closed` says so
      )
      .finally(() => {
        asking = false;
      });
  };

  const lost = (): void => {
    if (stopped) return;
    epoch++;
    hub = null;
    waiting = null;
    waitingMarks.length = 0;
    const wait = waitBeforeAttempt(attempt++, options.random());
    const nowMs = clock.nowMs();
    if (store.link.kind !== "lost") lostSinceMs = nowMs;
    store.link = { kind: "lost", sinceMs: lostSinceMs, nextAttemptMs: nowMs + wait, wasLive };
    changed("link");
    cancelWait = clock.after(wait, connect);
  };

  const connect = async (): Promise<void> => {
    cancelWait = null;
    const mine = ++epoch;
    if (store.link.kind === "lost") {
      store.link = { ...store.link, nextAttemptMs: null };
      changed("link");
    }
    try {
      const connection = await options.open({
        scan: (frame) => mine === epoch && onScan(frame),
        mark: (mark) => {
          if (mine !== epoch) return;
          if (waiting !== null) waitingMarks.push(mark);
          else takeMark(mark);
          changed("scan");
        },
        change: (change) => {
          // What comes before the first state is answered is part of it.
          if (mine !== epoch || change.cell !== store.layout?.cell || store.state === null || hub === null) return;
          const state = applyChange(store.state, change);
          if (state === null) return anew(hub, change.cell, mine);
          store.state = state;
          heard(state.t);
          changed("state");
          if (runsOf(state) !== runs) relayout(state, mine);
        },
        missed: (cell, seq) => {
          if (mine === epoch && cell === store.layout?.cell) onMissed(seq);
        },
        closed: () => mine === epoch && lost(),
      });
      if (mine !== epoch || stopped) return connection.close();
      hub = connection;
      const cell = options.cell ?? (await connection.cells()).at(0)?.cell;
      if (cell === undefined) throw new Error("the service has no cell");
      const layout = await connection.layout(cell);
      if (mine !== epoch) return;
      layoutAtMs = clock.nowMs();
      adoptLayout(store, layout);
      changed("layout");
      waiting = [];
      const state = await connection.follow(cell);
      if (mine !== epoch) return;
      store.state = state;
      runs = runsOf(state);
      store.link = { kind: "filling" };
      heard(Math.max(state.t, 0));
      changed("state");
      await fill(connection, cell, mine);
      if (mine !== epoch) return;
      attempt = 0;
      wasLive = true;
      store.link = { kind: "live" };
      changed("link");
      changed("scan");
    } catch {
      // Refused, cut off or not ready: one way to go on, whatever the cause. The page says that it cannot reach the service.
      if (mine !== epoch) return;
      hub?.close();
      lost();
    }
  };

  void connect();
  return {
    wake() {
      if (store.link.kind === "lost" && cancelWait !== null) {
        cancelWait();
        attempt = 0;
        void connect();
      } else if (store.link.kind === "live" && hub !== null && store.layout !== null && waiting === null) {
        refill(hub, store.layout.cell);
      }
    },
    async order(give) {
      if (hub === null || store.layout === null) throw new Error("not connected");
      await give(hub, store.layout.cell);
    },
    stop() {
      stopped = true;
      epoch++;
      cancelWait?.();
      hub?.close();
    },
  };
}
