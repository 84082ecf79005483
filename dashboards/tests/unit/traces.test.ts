import { describe, expect, it } from "vitest";
import { Quality } from "../../src/feed/frames";
import { createTraces } from "../../src/state/traces";

const scan = (seq: number, t: number, values: number[], qualities?: number[]) => ({
  seq,
  t,
  values: Float32Array.from(values),
  qualities: Uint8Array.from(qualities ?? values.map(() => Quality.good)),
});

describe("traces", () => {
  it("Times_rise_strictly_whatever_comes", () => {
    const traces = createTraces(100, [1000]);
    expect(traces.append(scan(1, 1000, [20]))).toBe(true);
    expect(traces.append(scan(2, 1000, [21]))).toBe(false);
    expect(traces.append(scan(1, 1500, [21]))).toBe(false);
    expect(traces.append(scan(3, 900, [21]))).toBe(false);
    expect(traces.append(scan(4, 1100, [22]))).toBe(true);
    expect([...traces.times.subarray(traces.first, traces.end)]).toEqual([1000, 1100]);
  });

  it("A_silence_longer_than_the_gap_leaves_a_hole_before_the_next_reading", () => {
    const traces = createTraces(100, [1000]);
    traces.append(scan(1, 0, [20]));
    traces.append(scan(2, 1000, [21]));
    traces.append(scan(3, 2001, [22]));
    expect(traces.end - traces.first).toBe(4);
    expect(traces.qualities[0][2]).toBe(Quality.bad);
    expect(traces.times[2]).toBeGreaterThan(1000);
    expect(traces.times[2]).toBeLessThan(2001);
  });

  it("A_channel_polled_slowly_is_not_broken_by_scans_without_it", () => {
    const traces = createTraces(100, [500, 3000]);
    traces.append(scan(1, 0, [20, 5]));
    for (let i = 1; i <= 9; i++) traces.append(scan(1 + i, i * 200, [20, Number.NaN], [Quality.good, Quality.absent]));
    traces.append(scan(11, 2000, [20, 6]));
    for (let row = traces.first; row < traces.end; row++) expect(traces.qualities[1][row]).not.toBe(Quality.bad);
  });

  it("Only_the_silent_channel_gets_the_hole", () => {
    const traces = createTraces(100, [500, 500]);
    traces.append(scan(1, 0, [20, 5]));
    for (let i = 1; i <= 9; i++) traces.append(scan(1 + i, i * 200, [20, Number.NaN], [Quality.good, Quality.absent]));
    traces.append(scan(11, 2000, [20, 6]));
    const rows = Array.from({ length: traces.end - traces.first }, (_, i) => traces.first + i);
    expect(rows.filter((row) => traces.qualities[0][row] === Quality.bad)).toHaveLength(0);
    expect(rows.filter((row) => traces.qualities[1][row] === Quality.bad)).toHaveLength(1);
  });

  it("The_newest_rows_stay_when_the_ring_is_full", () => {
    const traces = createTraces(50, [1e9]);
    for (let i = 0; i < 1000; i++) traces.append(scan(i, i * 100, [i]));
    expect(traces.end - traces.first).toBeGreaterThanOrEqual(50);
    expect(traces.end - traces.first).toBeLessThanOrEqual(51);
    expect(traces.times[traces.end - 1]).toBe(99_900);
    expect(traces.values[0][traces.first]).toBe(1000 - (traces.end - traces.first));
    expect(traces.rowAt(99_850)).toBe(traces.end - 1);
  });

  it("A_bad_reading_never_becomes_the_newest_value", () => {
    const traces = createTraces(10, [1000]);
    traces.append(scan(1, 0, [20]));
    traces.append(scan(2, 100, [999], [Quality.bad]));
    expect(traces.latestValue[0]).toBe(20);
    expect(traces.latestTime[0]).toBe(0);
    expect(traces.latestQuality[0]).toBe(Quality.bad);
  });

  it("A_marked_spike_keeps_its_value_and_is_no_longer_good", () => {
    const traces = createTraces(10, [1000, 1000]);
    traces.append(scan(1, 0, [20, 5]));
    traces.append(scan(2, 100, [90, 5]));
    traces.append(scan(3, 200, [21, 5]));
    expect(traces.mark(0, 100, "uncertain:spike")).toBe(true);
    expect(traces.mark(0, 100, "uncertain:spike")).toBe(false);
    expect(traces.mark(0, 150, "uncertain:spike")).toBe(false);
    expect([...traces.qualities[0].subarray(0, 3)]).toEqual([Quality.good, Quality.uncertain, Quality.good]);
    expect([...traces.qualities[1].subarray(0, 3)]).toEqual([Quality.good, Quality.good, Quality.good]);
    expect(traces.values[0][1]).toBe(90);
    expect(traces.marks).toEqual([{ kind: "spike", channel: 0, t: 100, value: 90 }]);
    traces.rewind(1);
    expect(traces.marks).toEqual([]);
  });

  it("A_mark_keeps_its_kind", () => {
    const traces = createTraces(10, [1000]);
    for (let i = 1; i <= 3; i++) traces.append(scan(i, i * 100, [20]));
    traces.mark(0, 100, "uncertain:detached");
    traces.mark(0, 200, "uncertain:spike");
    traces.mark(0, 300, "uncertain:ofTomorrow");
    expect(traces.marks.map((mark) => mark.kind)).toEqual(["detached", "spike", "other"]);
  });

  it("A_reading_without_a_value_is_no_spike", () => {
    const traces = createTraces(10, [1000]);
    traces.append(scan(1, 0, [Number.NaN], [Quality.bad]));
    expect(traces.mark(0, 0, "uncertain:spike")).toBe(false);
  });
});
