import { describe, expect, it } from "vitest";
import { planLabels } from "../../src/charts/labelPlan";
import { spreadLabels } from "../../src/state/labels";
import { noise } from "../browser/rig/model";

/** Least squares by brute force: every split into groups, each centred on its mean, that keeps the distances. */
function bruteForce(sorted: number[], gap: number): number[] {
  let best: { cost: number; at: number[] } | null = null;
  const n = sorted.length;
  for (let mask = 0; mask < 1 << (n - 1); mask++) {
    const at: number[] = [];
    for (let start = 0; start < n; ) {
      let end = start + 1;
      while (end < n && (mask & (1 << (end - 1))) !== 0) end++;
      const group = sorted.slice(start, end);
      const base = group.reduce((sum, wanted, i) => sum + wanted - i * gap, 0) / group.length;
      group.forEach((_, i) => {
        at.push(base + i * gap);
      });
      start = end;
    }
    if (at.some((height, i) => i > 0 && height - at[i - 1] < gap - 1e-9)) continue;
    const cost = at.reduce((sum, height, i) => sum + (height - sorted[i]) ** 2, 0);
    if (best === null || cost < best.cost) best = { cost, at };
  }
  return best?.at ?? [];
}

describe("labels", () => {
  it("Shift_is_the_least_squares_one", () => {
    const random = noise(7);
    for (let round = 0; round < 200; round++) {
      const wanted = Array.from({ length: 7 }, () => (random() + 0.5) * 120).sort((a, b) => a - b);
      const found = spreadLabels(wanted, 20, -1000, 2000);
      bruteForce(wanted, 20).forEach((height, i) => {
        expect(found[i]).toBeCloseTo(height, 6);
      });
    }
  });

  it("Labels_never_touch_and_stay_in_their_area", () => {
    const random = noise(3);
    for (let round = 0; round < 200; round++) {
      const wanted = Array.from({ length: 10 }, () => (random() + 0.5) * 300);
      const found = spreadLabels(wanted, 20, 10, 290).toSorted((a, b) => a - b);
      expect(found[0]).toBeGreaterThanOrEqual(10);
      expect(found[9]).toBeLessThanOrEqual(290 + 1e-9);
      for (let i = 1; i < found.length; i++) expect(found[i] - found[i - 1]).toBeGreaterThanOrEqual(20 - 1e-9);
    }
  });

  it("Labels_that_have_room_stay_where_they_want_to_be", () => {
    expect(spreadLabels([50, 200, 120], 20, 0, 300)).toEqual([50, 200, 120]);
  });

  const area = { left: 70, top: 30, width: 1000, height: 400 };
  const ask = { ends: [100, 104, 108], width: 200, gap: 20, columns: [1], area, leader: 28 };

  it("Ahead_of_now_while_there_is_room", () => {
    expect(planLabels({ ...ask, x: 500, taken: () => null }).side).toBe("right");
  });

  it("Behind_now_they_keep_off_the_curves", () => {
    const plan = planLabels({ ...ask, x: 1040, taken: () => ({ top: 60, bottom: 250 }) });
    expect(plan.side).toBe("left");
    for (const height of plan.heights) expect(height).toBeGreaterThan(250);
  });
});
