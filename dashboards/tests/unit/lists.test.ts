import { describe, expect, it } from "vitest";
import { type AlarmStep, anyRun, createRecords, type ListedRun, Refusal, type RunPage } from "../../src/feed/records";
import { columnsOf, longestOf, sumOf } from "../../src/pages/runsPage";
import { createAlarmHistory, episodesOf } from "../../src/state/alarmHistory";
import { createRunCache } from "../../src/state/runCache";
import { createRunList } from "../../src/state/runList";
import { en } from "../../src/texts/en";

const run = (number: number, part: Partial<ListedRun> = {}): ListedRun => ({
  cell: 1,
  number,
  carrier: "A",
  kind: "profile",
  recipe: null,
  startReason: "heating",
  start: new Date(number * 1_000_000).toISOString(),
  end: new Date(number * 1_000_000 + 340_000).toISOString(),
  endReason: "cooled",
  spec: null,
  verdict: "pass",
  reasons: [],
  notes: [],
  product: null,
  serials: [],
  load: null,
  decision: null,
  tightest: [],
  phases: [],
  ...part,
});

/** A service whose answers are given one by one. */
function service() {
  const asked: string[] = [];
  const waiting: { resolve: (value: unknown) => void; reject: (error: unknown) => void }[] = [];
  const records = createRecords((path, signal) => {
    asked.push(path);
    return new Promise((resolve, reject) => {
      signal.addEventListener("abort", () => reject(new DOMException("gone", "AbortError")));
      waiting.push({ resolve, reject });
    });
  });
  const settle = async (n: number, value: unknown): Promise<void> => {
    waiting[n].resolve(value);
    await new Promise((resolve) => setTimeout(resolve));
  };
  const refuse = async (n: number, error: unknown): Promise<void> => {
    waiting[n].reject(error);
    await new Promise((resolve) => setTimeout(resolve));
  };
  return { records, asked, settle, refuse };
}

const page = (numbers: readonly number[], next: number | null): RunPage => ({ runs: numbers.map((n) => run(n)), next });

describe("the list of runs", () => {
  it("Grows_page_by_page_to_the_end_and_asks_for_each_once", async () => {
    const { records, asked, settle } = service();
    const list = createRunList(
      records,
      () => 0,
      () => undefined,
    );
    list.begin({ cell: 1, filter: anyRun });
    list.next();
    expect(asked).toEqual(["/api/v1/cells/1/runs?limit=30"]);
    await settle(0, page([9, 8], 8));
    expect(list.more).toBe(true);
    list.next();
    list.next();
    expect(asked[1]).toBe("/api/v1/cells/1/runs?limit=30&before=8");
    await settle(1, page([8, 7], null));
    expect(list.items.map((one) => one.number)).toEqual([9, 8, 7]);
    list.next();
    expect(asked.length).toBe(2);
  });

  it("What_comes_for_an_older_search_is_not_taken", async () => {
    const { records, asked, settle } = service();
    const list = createRunList(
      records,
      () => 0,
      () => undefined,
    );
    list.begin({ cell: 1, filter: anyRun });
    list.begin({ cell: 1, filter: { ...anyRun, verdict: "fail", spec: " PB ", from: "2026-11-25" } });
    await settle(0, page([9], null));
    expect(list.items).toEqual([]);
    expect(asked[1]).toContain("verdict=fail&spec=PB&from=");
    await settle(1, page([3], null));
    expect(list.items.map((one) => one.number)).toEqual([3]);
  });

  it("A_failure_is_said_and_asked_again", async () => {
    const { records, asked, settle, refuse } = service();
    const list = createRunList(
      records,
      () => 0,
      () => undefined,
    );
    list.begin({ cell: 1, filter: anyRun });
    await refuse(0, new Refusal("There is no cell 1 here.", 404));
    expect(list.asked).toEqual({ kind: "failed", words: "There is no cell 1 here." });
    list.next();
    await settle(1, page([2], null));
    expect(list.asked.kind).toBe("here");
    expect(asked.length).toBe(2);
  });

  it("Columns_are_in_the_order_of_a_run_and_as_many_as_fit", () => {
    const figures = ["coolingRate", "soakTime", "peakTemperature"].map((name) => ({ figure: name }) as never);
    expect(columnsOf([run(1, { tightest: figures })], 9)).toEqual(["soakTime", "peakTemperature", "coolingRate"]);
    expect(columnsOf([run(1, { tightest: figures })], 2)).toEqual(["soakTime", "peakTemperature"]);
  });

  it("One_run_that_took_hours_does_not_make_the_others_thin", () => {
    const hours = run(1, { end: new Date(1_000_000 + 7_200_000).toISOString() });
    expect(longestOf([hours, run(2), run(3)])).toBeCloseTo(340 * 1.6, 6);
    expect(longestOf([run(2)])).toBe(340);
  });

  it("The_sum_counts_what_has_ended", () => {
    const runs = [run(5, { end: null, verdict: null }), run(4), run(3, { verdict: "fail" }), run(2, { verdict: null })];
    expect(sumOf(runs, true, en)).toBe("Of the newest 3 runs, 1 passes, 1 fails, 1 without a verdict.");
  });
});

describe("runs that were looked at", () => {
  it("A_run_is_fetched_once_and_one_that_goes_on_anew", async () => {
    let asked = 0;
    const records = createRecords(async (path) => {
      asked++;
      return path.endsWith("curves")
        ? { start: "", time_s: [], curves: [], marks: [], lost: [] }
        : { run: { end: path.includes("/9") ? null : "x" } };
    });
    const cache = createRunCache(records);
    await cache.get(1, 8);
    await cache.get(1, 8);
    expect(asked).toBe(2);
    await cache.get(1, 9);
    await cache.get(1, 9);
    expect(asked).toBe(6);
  });

  it("A_failure_is_not_kept", async () => {
    let fail = true;
    const records = createRecords(async () => {
      if (fail) throw new TypeError("Failed to fetch");
      return { run: { end: "x" } };
    });
    const cache = createRunCache(records);
    await expect(cache.get(1, 8)).rejects.toThrow();
    fail = false;
    await expect(cache.get(1, 8)).resolves.toBeDefined();
  });
});

describe("alarms that were", () => {
  const step = (id: number, at_s: number, state: AlarmStep["state"], part: Partial<AlarmStep> = {}): AlarmStep => ({
    id,
    time: new Date(at_s * 1000).toISOString(),
    alarmId: "tooHot/tc1",
    condition: "tooHot",
    channel: "tc1",
    state,
    predicted: false,
    value: null,
    limit: null,
    run: null,
    signal: "conditionActive",
    priority: "medium",
    by: "",
    comment: "",
    until: null,
    figure: null,
    ...part,
  });

  it("What_was_stays_while_it_is_fetched_anew_and_a_failure_is_asked_again_from_the_newest", async () => {
    const { records, asked, settle, refuse } = service();
    const history = createAlarmHistory(
      records,
      () => 0,
      () => undefined,
    );
    history.begin(1);
    await settle(0, { steps: [step(5, 50, "unacknowledged")], next: 5 });
    history.next();
    await settle(1, { steps: [step(4, 40, "unacknowledged", { alarmId: "noProduct" })], next: null });
    expect(history.episodes.map((one) => one.alarmId)).toEqual(["tooHot/tc1", "noProduct"]);
    history.begin(1);
    expect(history.episodes.length).toBe(2);
    await refuse(2, new TypeError("Failed to fetch"));
    expect(history.asked.kind).toBe("failed");
    history.next();
    expect(asked[3]).toBe(asked[0]);
    await settle(3, { steps: [step(6, 60, "normal"), step(5, 50, "unacknowledged")], next: 5 });
    expect(history.episodes.map((one) => one.endedMs)).toEqual([60_000]);
    expect(history.more).toBe(true);
  });

  it("Steps_of_an_alarm_are_one_row_each_time_it_came", () => {
    const steps = [
      step(7, 60, "normal"),
      step(6, 55, "returnedUnacknowledged"),
      step(5, 50, "unacknowledged"),
      step(4, 30, "normal"),
      step(3, 20, "acknowledged", { value: 250 }),
      step(2, 10, "unacknowledged", { value: 247, limit: 245, run: 24 }),
    ];
    const [second, first] = episodesOf(steps);
    expect([first.beganMs, first.seenMs, first.endedMs]).toEqual([10_000, 20_000, 30_000]);
    expect([first.value, first.limit, first.run]).toEqual([250, 245, 24]);
    expect([second.beganMs, second.endedMs, second.seenMs]).toEqual([50_000, 55_000, 60_000]);
  });

  it("One_that_came_again_before_anybody_had_seen_it_is_two", () => {
    const found = episodesOf([
      step(3, 30, "unacknowledged"),
      step(2, 20, "returnedUnacknowledged"),
      step(1, 10, "unacknowledged"),
    ]);
    expect(found.map((episode) => [episode.beganMs, episode.endedMs, episode.seenMs])).toEqual([
      [30_000, null, null],
      [10_000, 20_000, null],
    ]);
  });

  it("One_that_stays_until_it_is_reset_is_over_when_its_condition_is", () => {
    const [only] = episodesOf([
      step(4, 40, "normal"),
      step(3, 30, "latchedAcknowledged"),
      step(2, 20, "latchedUnacknowledged"),
      step(1, 10, "unacknowledged"),
    ]);
    expect([only.beganMs, only.endedMs, only.seenMs]).toEqual([10_000, 20_000, 30_000]);
  });

  it("What_people_did_stands_in_order_and_what_was_never_told_is_left_out", () => {
    const found = episodesOf([
      step(6, 60, "normal", { signal: "unshelveNormal", by: "shift lead" }),
      step(5, 50, "shelved", { signal: "conditionClears" }),
      step(4, 40, "suppressedByDesign", { alarmId: "tooHot/tc2", signal: "conditionActive" }),
      step(3, 30, "shelved", {
        signal: "shelve",
        by: "shift lead",
        comment: "valve ordered",
        until: new Date(90_000).toISOString(),
      }),
      step(2, 20, "acknowledged", { signal: "acknowledge", by: "process engineer", comment: "looked at it" }),
      step(1, 10, "unacknowledged"),
    ]);
    expect(found).toHaveLength(1);
    expect(found[0].doings.map(({ kind, by, comment, untilMs }) => [kind, by, comment, untilMs])).toEqual([
      ["acknowledge", "process engineer", "looked at it", null],
      ["shelve", "shift lead", "valve ordered", 90_000],
      ["unshelve", "shift lead", "", null],
    ]);
  });

  it("Where_the_beginning_is_not_fetched_it_is_not_made_up", () => {
    const [only] = episodesOf([step(4, 30, "normal"), step(3, 20, "acknowledged")]);
    expect([only.beganMs, only.seenMs, only.endedMs]).toEqual([null, 20_000, 30_000]);
  });
});
