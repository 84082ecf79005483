import { describe, expect, it } from "vitest";
import { Quality } from "../../src/feed/frames";
import { createEnvelope } from "../../src/state/envelope";
import { createTraces } from "../../src/state/traces";

const feed = (count: number, value: (i: number) => number, quality: (i: number) => number = () => Quality.good) => {
  const traces = createTraces(count + 10, [1000]);
  for (let i = 0; i < count; i++)
    traces.append({ seq: i, t: i * 100, values: Float32Array.of(value(i)), qualities: Uint8Array.of(quality(i)) });
  return traces;
};
const numbers = (column: readonly (number | null | undefined)[]): number[] =>
  column.filter((v) => typeof v === "number");

describe("envelope", () => {
  it("A_spike_of_one_sample_stays_visible_however_many_samples_share_a_column", () => {
    const traces = feed(20_000, (i) => (i === 12_345 ? 300 : i === 777 ? -40 : 100));
    const envelope = createEnvelope(traces, [0]);
    for (const columnMs of [0, 1000, 7000, 60_000]) {
      envelope.aim(0, 0, Number.POSITIVE_INFINITY, columnMs);
      envelope.update();
      const drawn = numbers(envelope.data.y[0]);
      expect(Math.max(...drawn)).toBe(300);
      expect(Math.min(...drawn)).toBe(-40);
    }
  });

  it("Draws_two_points_a_column", () => {
    const traces = feed(20_000, (i) => Math.sin(i));
    const envelope = createEnvelope(traces, [0]);
    envelope.aim(0, 0, Number.POSITIVE_INFINITY, 2000);
    envelope.update();
    expect(envelope.data.x.length).toBe(2 * 1000);
  });

  it("X_rises_strictly_across_columns_and_updates", () => {
    const traces = feed(0, () => 0);
    const envelope = createEnvelope(traces, [0]);
    envelope.aim(0, 0, Number.POSITIVE_INFINITY, 700);
    const live = createTraces(5000, [1000]);
    const grown = createEnvelope(live, [0]);
    grown.aim(0, 0, Number.POSITIVE_INFINITY, 700);
    for (let i = 0; i < 3000; i++) {
      live.append({ seq: i, t: i * 100 + (i % 7), values: Float32Array.of(i), qualities: Uint8Array.of(0) });
      grown.update();
    }
    for (let i = 1; i < grown.data.x.length; i++) expect(grown.data.x[i]).toBeGreaterThan(grown.data.x[i - 1]);
  });

  it("Growing_by_updates_equals_drawing_all_at_once", () => {
    const wave = (i: number): number => Math.sin(i / 9) * 50 + ((i * 37) % 11);
    const traces = createTraces(4000, [1000]);
    const grown = createEnvelope(traces, [0]);
    grown.aim(0, 0, Number.POSITIVE_INFINITY, 900);
    for (let i = 0; i < 3000; i++) {
      traces.append({
        seq: i,
        t: i * 100,
        values: Float32Array.of(wave(i)),
        qualities: Uint8Array.of(i % 500 === 0 ? 2 : 0),
      });
      if (i % 13 === 0) grown.update();
    }
    grown.update();
    const once = createEnvelope(traces, [0]);
    once.aim(0, 0, Number.POSITIVE_INFINITY, 900);
    once.update();
    expect(grown.data).toEqual(once.data);
  });

  it("A_gap_inside_one_column_still_breaks_the_line", () => {
    const traces = createTraces(1000, [1000]);
    for (let i = 0; i < 100; i++)
      traces.append({ seq: i, t: i * 100, values: Float32Array.of(100), qualities: Uint8Array.of(0) });
    for (let i = 0; i < 100; i++)
      traces.append({ seq: 200 + i, t: 20_000 + i * 100, values: Float32Array.of(100), qualities: Uint8Array.of(0) });
    const envelope = createEnvelope(traces, [0]);
    envelope.aim(0, 0, Number.POSITIVE_INFINITY, 60_000);
    envelope.update();
    const drawn = envelope.data.y[0];
    expect(drawn.slice(drawn.findIndex((value) => typeof value === "number"))).toContain(null);
  });

  it("A_channel_that_comes_back_within_a_column_is_not_joined_to_where_it_went", () => {
    // Another channel goes on meanwhile, so scans keep coming without this one.
    const traces = createTraces(1000, [1000, 1000]);
    for (let i = 0; i < 300; i++) {
      const silent = i >= 50 && i < 205;
      traces.append({
        seq: i,
        t: i * 100,
        values: Float32Array.of(silent ? Number.NaN : 100, 5),
        qualities: Uint8Array.of(silent ? Quality.absent : 0, 0),
      });
    }
    for (const columnMs of [1000, 0]) {
      const envelope = createEnvelope(traces, [0, 1]);
      envelope.aim(0, 0, Number.POSITIVE_INFINITY, columnMs);
      envelope.update();
      const { x, y } = envelope.data;
      const before = x.findLastIndex((t, i) => t < 6 && typeof y[0][i] === "number");
      const after = x.findIndex((t, i) => t > 6 && typeof y[0][i] === "number");
      // Every slot between, or the chart would draw on to the hole and leave out its last pixel only.
      expect(after - before).toBeGreaterThan(10);
      expect(y[0].slice(before + 1, after).every((value) => value === null)).toBe(true);
    }
  });

  it("A_channel_that_stays_bad_costs_no_points", () => {
    const traces = createTraces(30_000, [1000, 1000]);
    for (let i = 0; i < 20_000; i++)
      traces.append({
        seq: i,
        t: i * 100,
        values: Float32Array.of(Number.NaN, 5),
        qualities: Uint8Array.of(Quality.bad, 0),
      });
    const envelope = createEnvelope(traces, [0, 1]);
    envelope.aim(0, 0, Number.POSITIVE_INFINITY, 2000);
    envelope.update();
    expect(envelope.data.x.length).toBe(2000);
  });

  it("A_value_without_a_place_on_the_axis_is_a_hole", () => {
    const traces = feed(3, (i) => [5, 0, 5][i]);
    const envelope = createEnvelope(traces, [0], (mbar) => (mbar > 0 ? mbar : null));
    envelope.update();
    expect(envelope.data.y[0]).toEqual([5, null, 5]);
  });
});
