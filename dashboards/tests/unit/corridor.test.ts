import { describe, expect, it } from "vitest";
import type { RunShape } from "../../src/feed/records";
import { corridorOf, reached } from "../../src/state/corridor";

const shape = (high: readonly (number | null)[]): RunShape => ({
  start: "2026-11-25T12:00:00Z",
  length_s: high.length,
  of: "product",
  low: high.map((value) => (value === null ? null : value - 2)),
  high,
  pressure: high.map(() => 1010),
});

describe("corridor", () => {
  const five = [20, 21, 22, 23, 24].map((first) => ({ shape: shape([first, first + 10, first + 20]), offset_s: 0 }));

  it("Lies_between_the_least_and_the_greatest_of_the_released_runs", () => {
    const found = corridorOf(five);
    expect(found?.runs).toBe(5);
    expect(found?.stretches[0]).toEqual([
      { t: 0, low: 18, high: 24 },
      { t: 1, low: 28, high: 34 },
      { t: 2, low: 38, high: 44 },
    ]);
  });

  it("Is_none_with_fewer_runs_and_none_where_fewer_have_readings", () => {
    expect(corridorOf(five.slice(1))).toBeNull();
    const hole = corridorOf([...five.slice(1), { shape: shape([20, null, 40]), offset_s: 0 }]);
    expect(hole?.stretches.map((stretch) => stretch.map((point) => point.t))).toEqual([[0], [2]]);
  });

  it("Moves_with_what_it_is_lined_up_at", () => {
    const found = corridorOf(five.map((reference) => ({ ...reference, offset_s: 10 })));
    expect(found?.stretches[0][0]).toEqual({ t: 10, low: 18, high: 24 });
    expect(reached(shape([20, 40, 60, 80]), 55)).toBe(2.5);
    expect(reached(shape([20, 40]), 55)).toBeNull();
  });
});
