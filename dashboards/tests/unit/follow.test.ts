import { describe, expect, it } from "vitest";
import type { CellChange, CellState, ReadingMark, RunLive, ScanFrame } from "../../src/feed/contract";
import { follow } from "../../src/feed/follow";
import type { HubEvents, OpenHub } from "../../src/feed/hub";
import type { CellLayout } from "../../src/feed/layoutContract";
import { createCellStore } from "../../src/state/cellStore";
import { encodeFrame } from "../encodeFrame";

/** A service with one channel at 10 Hz, and a clock, both moved by hand. */
function stage() {
  const frames: ScanFrame[] = [];
  /** Marks in the record, with the scan that set them. */
  const marks: { seq: number; mark: ReadingMark }[] = [];
  const timers: { at: number; action: () => void }[] = [];
  let nowMs = 0;
  let events: HubEvents | null = null;
  let up = true;
  let session = "one";
  let opened = 0;
  let usual: number | null = null;
  const asked: number[] = [];
  const layout = (): CellLayout => ({
    cell: 1,
    name: "Cell 1",
    demo: false,
    session,
    channels: [
      {
        id: "tc1",
        name: "Edge",
        role: "product",
        place: "joint",
        carrier: "A",
        unit: "degC",
        device: "amp",
        liquidus: 220,
      },
    ],
    devices: [{ id: "amp", name: "amplifier", period_s: 0.1 }],
    interval_s: 0.1,
    fromSeq: frames[0]?.seq ?? 0,
    usualCycle_s: usual,
    usualPhases: [],
    spec: null,
    specs: [],
    now: nowMs,
  });
  let followed = 0;
  let known: readonly RunLive[] = [];
  const same = (): CellChange => ({
    cell: 1,
    after: 0,
    seq: 0,
    t: nowMs,
    order: null,
    runs: null,
    alarms: null,
    hiddenAlarms: null,
    numbers: null,
    devices: null,
    filtered: null,
  });
  const state = (): CellState => ({
    cell: 1,
    seq: 0,
    t: nowMs,
    runs: known,
    alarms: [],
    hiddenAlarms: [],
    devices: [],
    filtered: [],
  });
  const hub: OpenHub = {
    cells: async () => [{ cell: 1, name: "Cell 1" }],
    layout: async () => layout(),
    since: async (_cell, seq) => {
      asked.push(seq);
      const rest = frames.filter((frame) => frame.seq > seq);
      return {
        cell: 1,
        frames: rest.slice(0, 3),
        marks: marks.filter((mark) => mark.seq > seq).map((mark) => mark.mark),
        more: rest.length > 3,
      };
    },
    follow: async () => {
      followed++;
      return state();
    },
    unwatch: async () => undefined,
    acknowledge: async () => undefined,
    shelve: async () => undefined,
    unshelve: async () => undefined,
    outOfService: async () => undefined,
    returnToService: async () => undefined,
    reset: async () => undefined,
    close: () => undefined,
  };
  const settle = async (): Promise<void> => {
    for (let i = 0; i < 60; i++) await Promise.resolve();
  };
  const store = createCellStore();
  const start = () =>
    follow({
      store,
      open: async (given) => {
        opened++;
        if (!up) throw new Error("down");
        events = given;
        return hub;
      },
      clock: {
        nowMs: () => nowMs,
        after: (wait, action) => {
          const timer = { at: nowMs + wait, action };
          timers.push(timer);
          return () => void timers.splice(timers.indexOf(timer), 1);
        },
      },
      cell: null,
      random: () => 0.5,
      changed: () => undefined,
    });
  return {
    store,
    frames,
    asked,
    start,
    settle,
    opened: () => opened,
    record(seq: number, t: number, value = 100) {
      frames.push(encodeFrame(1, seq, t, [value], [0]));
    },
    push(seq: number, t: number, value = 100) {
      nowMs = Math.max(nowMs, t);
      const frame = encodeFrame(1, seq, t, [value], [0]);
      frames.push(frame);
      events?.scan(frame);
    },
    tellRun(number: number, ended: boolean) {
      const run = { number, carrier: "A", start: 0, end: ended ? 1 : null } as unknown as RunLive;
      known = [run];
      const part = { number, head: { ...run, figures: [] }, at: [], data: new Uint8Array(), anew: null };
      events?.change({ ...same(), order: [number], runs: [part] });
    },
    /** A change that follows a state which the page never had. */
    tellMisfit() {
      events?.change({ ...same(), after: 4711 });
    },
    followed: () => followed,
    learnUsual(seconds: number) {
      usual = seconds;
    },
    recordMark(seq: number, t: number) {
      marks.push({ seq, mark: { cell: 1, channel: "tc1", t, quality: "uncertain:spike" } });
    },
    mark(t: number, channel = "tc1") {
      events?.mark({ cell: 1, channel, t, quality: "uncertain:spike" });
    },
    tellMissed(seq: number) {
      events?.missed(1, seq);
    },
    /** The service sends nothing of it: it was too slow, or the page slept. */
    miss(seq: number, t: number) {
      nowMs = Math.max(nowMs, t);
      frames.push(encodeFrame(1, seq, t, [100], [0]));
    },
    cut() {
      up = false;
      events?.closed();
    },
    mend(newSession: string | null) {
      up = true;
      if (newSession !== null) session = newSession;
    },
    async pass(ms: number) {
      const until = nowMs + ms;
      for (;;) {
        const next = timers.filter((timer) => timer.at <= until).sort((a, b) => a.at - b.at)[0];
        if (next === undefined) break;
        timers.splice(timers.indexOf(next), 1);
        nowMs = Math.max(nowMs, next.at);
        next.action();
        await settle();
      }
      nowMs = until;
    },
    seqs: () => {
      const { traces } = store;
      return traces === null ? [] : [...traces.times.subarray(traces.first, traces.end)];
    },
  };
}

describe("follow", () => {
  it("Draws_the_run_that_was_open_before_it_came_in_pieces", async () => {
    const s = stage();
    for (let i = 0; i < 10; i++) s.record(i + 5, i * 100);
    s.start();
    await s.settle();
    expect(s.seqs()).toEqual([0, 100, 200, 300, 400, 500, 600, 700, 800, 900]);
    expect(s.asked).toEqual([4, 7, 10, 13]);
    expect(s.store.link.kind).toBe("live");
  });

  it("Fills_the_hole_of_a_lost_connection_and_keeps_what_it_had", async () => {
    const s = stage();
    s.start();
    await s.settle();
    for (let i = 0; i < 5; i++) s.push(i, i * 100);
    s.cut();
    expect(s.store.link).toMatchObject({ kind: "lost", wasLive: true });
    for (let i = 5; i < 40; i++) s.miss(i, i * 100);
    s.mend(null);
    await s.pass(10_000);
    expect(s.store.link.kind).toBe("live");
    expect(s.seqs()).toHaveLength(40);
  });

  it("Asks_for_ever_with_growing_waits", async () => {
    const s = stage();
    s.cut();
    s.start();
    await s.settle();
    await s.pass(3_600_000);
    // About an hour over at most 8 s a wait.
    expect(s.opened()).toBeGreaterThan(450);
    expect(s.opened()).toBeLessThan(600);
    s.mend(null);
    await s.pass(8_000);
    expect(s.store.link.kind).toBe("live");
  });

  it("Forgets_everything_when_the_service_was_started_anew", async () => {
    const s = stage();
    s.start();
    await s.settle();
    for (let i = 0; i < 5; i++) s.push(100 + i, i * 100, 50);
    s.cut();
    s.frames.length = 0;
    s.record(0, 5000, 60);
    s.mend("two");
    await s.pass(10_000);
    expect(s.seqs()).toEqual([5000]);
    expect(s.store.traces?.values[0][s.store.traces.first]).toBe(60);
  });

  it("Asks_the_record_before_it_calls_a_jump_a_gap", async () => {
    const s = stage();
    s.start();
    await s.settle();
    s.push(0, 0);
    for (let i = 1; i < 40; i++) s.miss(i, i * 100);
    s.push(40, 4000);
    await s.settle();
    expect(s.seqs()).toEqual(Array.from({ length: 41 }, (_, i) => i * 100));
  });

  it("Leaves_a_hole_where_the_record_has_none_either", async () => {
    const s = stage();
    s.start();
    await s.settle();
    s.push(0, 0);
    s.push(1, 4000);
    await s.settle();
    expect(s.seqs()).toHaveLength(3);
    expect(s.store.traces?.qualities[0][1]).toBe(2);
  });

  it("Frames_left_out_for_a_slow_page_are_put_where_they_belong", async () => {
    const s = stage();
    s.start();
    await s.settle();
    for (let i = 0; i < 5; i++) s.push(i, i * 100);
    s.miss(5, 500);
    s.miss(6, 600);
    s.push(7, 700);
    expect(s.seqs()).toEqual([0, 100, 200, 300, 400, 700]);
    s.tellMissed(4);
    await s.settle();
    expect(s.seqs()).toEqual([0, 100, 200, 300, 400, 500, 600, 700]);
  });

  it("What_is_usual_is_asked_again_when_a_run_ends_and_nothing_drawn_is_lost", async () => {
    const s = stage();
    s.start();
    await s.settle();
    for (let i = 0; i < 5; i++) s.push(i, i * 100);
    s.tellRun(1, false);
    await s.settle();
    expect(s.store.layout?.usualCycle_s).toBeNull();
    s.learnUsual(321);
    s.tellRun(1, true);
    await s.settle();
    expect(s.store.layout?.usualCycle_s).toBe(321);
    expect(s.seqs()).toHaveLength(5);
  });

  it("A_page_that_wakes_fetches_what_it_slept_through", async () => {
    const s = stage();
    const follower = s.start();
    await s.settle();
    s.push(0, 0);
    for (let i = 1; i < 30; i++) s.miss(i, i * 100);
    follower.wake();
    await s.settle();
    expect(s.seqs()).toHaveLength(30);
  });

  it("A_spike_is_marked_when_its_follower_shows_it", async () => {
    const s = stage();
    s.start();
    await s.settle();
    s.push(0, 0);
    s.push(1, 100, 190);
    s.push(2, 200);
    s.mark(100);
    s.mark(100, "another");
    expect(s.store.traces?.marks).toEqual([{ kind: "spike", channel: 0, t: 100, value: 190 }]);
  });

  it("A_change_that_does_not_fit_asks_for_the_whole_once", async () => {
    const service = stage();
    service.start();
    await service.settle();
    expect(service.followed()).toBe(1);
    service.tellMisfit();
    service.tellMisfit();
    await service.settle();
    expect(service.followed()).toBe(2);
    service.tellRun(3, false);
    expect(service.store.state?.runs.map((run) => run.number)).toEqual([3]);
    expect(service.followed()).toBe(2);
  });

  it("Marks_that_were_missed_come_with_what_fills_the_hole", async () => {
    const s = stage();
    s.start();
    await s.settle();
    s.push(0, 0);
    s.push(1, 100, 190);
    for (let i = 2; i < 12; i++) s.miss(i, i * 100);
    s.recordMark(2, 100);
    s.tellMissed(1);
    s.mark(500); // on a frame that is still being fetched
    await s.settle();
    expect(s.store.traces?.marks.map((mark) => mark.t)).toEqual([100, 500]);
  });
});
