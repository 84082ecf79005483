import { describe, expect, it } from "vitest";
import { lagPath, lagScale } from "../../src/charts/lagPlot";
import type { FeedState } from "../../src/feed/feeds";
import { feedQuestion } from "../../src/pages/feedQuestions";
import { feedPrompts } from "../../src/state/feedPrompts";
import { de } from "../../src/texts/de";
import { en } from "../../src/texts/en";

const feed = (change: Partial<FeedState> = {}): FeedState => ({
  id: "historian",
  kind: "influx",
  target: "http://historian:8086, bucket plant",
  cells: [1],
  state: "sending",
  reason: "",
  lagSeconds: 0.2,
  alarmAfterSeconds: 60,
  backlogEntries: 2,
  failures: 0,
  precision: "ms",
  closeDevices: [],
  sharedTimes: 0,
  backfills: [],
  quarantine: { lines: 0, since: null, words: "", isNew: false, resending: 0 },
  ...change,
});
const said = (...feeds: FeedState[]): string[] =>
  feedPrompts({ kind: "here", value: feeds }, en).map((one) => one.sentence);

describe("sentences of the feeds", () => {
  it("All_well_is_said_with_the_worst_lag", () => {
    expect(said(feed(), feed({ id: "broker", lagSeconds: 3 }))).toEqual([
      "All 2 feeds are at most 3\u00a0s behind the record.",
    ]);
    expect(said(feed())).toEqual(["The feed is 1\u00a0s behind the record."]);
  });

  it("The_most_urgent_comes_first_whatever_the_order_of_the_list", () => {
    const refused = { lines: 2, since: "2026-11-25T07:00:00Z", words: "conflict", isNew: true, resending: 0 };
    expect(
      said(
        feed({ id: "a", state: "paused", lagSeconds: 600 }),
        feed({ id: "b", quarantine: refused }),
        feed({ id: "c", lagSeconds: 125, state: "waiting", reason: "connection refused" }),
        feed({ id: "d", state: "refused", reason: "unauthorized" }),
      ),
    ).toEqual(["d is not let in.", "c is 2\u00a0min 5\u00a0s behind.", "2 lines of b were refused.", "a is paused."]);
  });

  it("Refused_lines_that_somebody_has_seen_ask_for_nothing", () => {
    const seen = { lines: 2, since: "2026-11-25T07:00:00Z", words: "conflict", isNew: false, resending: 0 };
    expect(said(feed({ quarantine: seen }))).toEqual(["The feed is 1\u00a0s behind the record."]);
  });

  it("The_other_sides_words_end_as_a_sentence_in_both_languages", () => {
    const behind = feed({ state: "waiting", lagSeconds: 90, reason: "HTTP 503" });
    for (const texts of [en, de])
      expect(feedPrompts({ kind: "here", value: [behind] }, texts)[0].detail).toContain(" HTTP 503. ");
  });

  it("A_service_that_does_not_answer_is_not_taken_for_one_without_feeds", () => {
    expect(feedPrompts({ kind: "failed", words: null }, en)[0]).toMatchObject({
      tone: "unknown",
      sentence: "The list of feeds did not come.",
    });
    expect(said()).toEqual(["This service has no feeds."]);
  });
});

describe("the last hour's lag", () => {
  const now = Date.parse("2026-11-25T08:00:00Z");
  const step = (minutesAgo: number, lagSeconds: number) => ({
    start: new Date(now - minutesAgo * 60_000).toISOString(),
    lagSeconds,
    backlogEntries: 0,
  });
  const scale = lagScale(360, 72, now, 60);

  it("A_lag_ten_times_as_long_stands_higher_by_the_same_step_whatever_it_was", () => {
    expect(scale.y(1) - scale.y(10)).toBeCloseTo(scale.y(0.1) - scale.y(1), 6);
    expect(scale.y(0)).toBe(scale.y(0.1));
    expect(scale.y(120)).toBeCloseTo(4, 6);
  });

  it("The_line_breaks_where_the_service_was_not_running", () => {
    const path = lagPath({ stepSeconds: 60, steps: [step(50, 1), step(49, 1), step(20, 5)] }, now, scale);
    expect(path.match(/M/g)).toHaveLength(2);
    expect(path.startsWith("M60.0 ")).toBe(true);
    expect(path).toContain("H66.0L66.0 ");
  });

  it("What_is_older_than_the_hour_is_left_out_and_the_step_that_goes_on_ends_now", () => {
    const path = lagPath({ stepSeconds: 60, steps: [step(90, 1), step(0.5, 1)] }, now, scale);
    expect(path).toMatch(/^M357\.0 [\d.]+H360\.0$/);
  });
});

describe("orders to a feed", () => {
  it("A_backfill_is_asked_for_in_the_persons_time_and_given_in_utc", async () => {
    const given: unknown[] = [];
    const ask = feedQuestion("backfill", feed(), en, async (...all) => void given.push(all));
    await ask.send({ by: "A. Tester", from: "2026-03-02T06:00", to: "" });
    expect(given).toEqual([
      ["historian", "backfill", { by: "A. Tester", from: new Date("2026-03-02T06:00").toISOString(), to: null }],
    ]);
    await expect(ask.send({ by: "A. Tester", from: "2026-03-02T06:00", to: "2026-03-01T06:00" })).rejects.toThrow(
      en.feeds.toWrong,
    );
    expect(given).toHaveLength(1);
  });

  it("Nobody_discards_lines_without_a_reason", () => {
    const fields = feedQuestion("quarantine/discard", feed(), en, async () => undefined).fields;
    expect(fields.filter((field) => field.needed !== null).map((field) => field.name)).toEqual(["reason", "by"]);
  });
});
