import { describe, expect, it } from "vitest";
import { uncertaintyText } from "../../src/charts/bar";
import type { FigureLive } from "../../src/feed/contract";
import { decidingChannel, figureRows, tightest } from "../../src/state/figureRows";
import { barScale } from "../../src/state/windowBar";

const figure = (rest: Partial<FigureLive>): FigureLive => ({
  figure: "timeAboveLiquidus",
  channel: "tc1",
  value: null,
  low: null,
  high: null,
  unit: "s",
  U: null,
  lower: 40,
  upper: 90,
  verdict: null,
  reason: null,
  decidedBy: null,
  severity: "fail",
  notes: [],
  margin: null,
  usual: null,
  final: false,
  ...rest,
});

describe("a value's uncertainty", () => {
  const text = (rest: Partial<FigureLive>): string => uncertaintyText(figureRows([figure(rest)])[0]);
  it("Stands_beside_a_final_value_and_nowhere_else", () => {
    expect(text({ value: 60, U: 0.62, final: true })).toBe(" ± 0.6");
    expect(text({ value: 60, U: 0.62 })).toBe("");
    expect(text({ value: 60, final: true })).toBe("");
    expect(text({ low: 60, U: 0.62, final: true })).toBe("");
  });
});

describe("figure rows", () => {
  it("The_channel_nearest_to_its_limit_decides", () => {
    const rows = figureRows([
      figure({ channel: "a", value: 60 }),
      figure({ channel: "b", value: 84 }),
      figure({ channel: "c", value: 70 }),
    ]);
    expect(rows).toHaveLength(1);
    expect(rows[0]).toMatchObject({ channel: "b", standing: "inside" });
  });

  it("A_bound_beyond_the_limit_has_broken_it_whatever_a_gap_hides", () => {
    const rows = figureRows([
      figure({ channel: "a", low: 20, high: 80, reason: "gap" }),
      figure({ channel: "b", low: 93, high: 99, reason: "gap" }),
    ]);
    expect(rows[0]).toMatchObject({ channel: "b", standing: "outside", low: 93, high: 99 });
    expect(rows[0]?.room).toBeLessThan(0);
  });

  it("A_broken_limit_decides_over_everything", () => {
    const rows = figureRows([
      figure({ channel: "a", value: 89 }),
      figure({ channel: "b", value: 91, verdict: "fail" }),
    ]);
    expect(rows[0]).toMatchObject({ channel: "b", standing: "outside" });
  });

  it("Below_the_lower_limit_a_sum_is_on_its_way_and_only_a_final_one_is_outside", () => {
    expect(figureRows([figure({ value: 20 })])[0].standing).toBe("counting");
    expect(figureRows([figure({ value: 20, final: true, verdict: "fail" })])[0].standing).toBe("outside");
    expect(figureRows([figure({ value: 0 })])[0]).toMatchObject({ standing: "notYet", value: null });
  });

  it("A_final_figure_without_a_value_is_unknown_not_a_number", () => {
    expect(figureRows([figure({ final: true, verdict: "undetermined", reason: "gap" })])[0]).toMatchObject({
      standing: "unknown",
      value: null,
    });
  });

  it("Figures_without_limits_have_no_bar", () => {
    expect(figureRows([figure({ lower: null, upper: null, value: 5 })])).toHaveLength(0);
  });

  it("Limits_of_the_spec_stand_before_the_first_figure_comes", () => {
    const rows = figureRows(
      [],
      [{ figure: "vacuumHold", lower: 10, upper: null, level: null, severity: "fail", document: null }],
    );
    expect(rows[0]).toMatchObject({ figure: "vacuumHold", standing: "notYet", lower: 10 });
  });

  it("Tightest_first_and_what_has_no_value_last", () => {
    const rows = figureRows([
      figure({ figure: "soakTime", lower: 60, upper: 120, value: 118 }),
      figure({ value: 60 }),
      figure({ figure: "vacuumHold", upper: null, lower: 10 }),
      figure({ figure: "peakTemperature", lower: null, upper: 245, value: 250, verdict: "fail", unit: "degC" }),
    ]);
    expect(tightest(rows).map((row) => row.figure)).toEqual([
      "peakTemperature",
      "soakTime",
      "timeAboveLiquidus",
      "vacuumHold",
    ]);
  });

  it("Noise_does_not_swap_the_channel_that_decides", () => {
    const rows = (a: number, b: number) =>
      figureRows([
        figure({ channel: "a", value: a }),
        figure({ figure: "soakTime", channel: "b", lower: 60, upper: 120, value: b }),
      ]);
    const product = new Set(["a", "b"]);
    expect(decidingChannel(rows(80, 107), product, null, null)).toBe("a");
    // b is tighter by a hair only.
    expect(decidingChannel(rows(80, 109), product, null, "a")).toBe("a");
    expect(decidingChannel(rows(80, 118), product, null, "a")).toBe("b");
  });
});

describe("window bar", () => {
  it("Two_limits_stand_at_a_fifth_and_at_four_fifths", () => {
    const scale = barScale(45, 90, 0);
    expect(scale.at(45)).toBeCloseTo(0.2);
    expect(scale.at(90)).toBeCloseTo(0.8);
    expect(scale.at(67.5)).toBeCloseTo(0.5);
  });

  it("Two_limits_that_are_the_same_are_a_line_in_the_middle_with_room_on_both_sides", () => {
    for (const [both, below] of [
      [3, 2],
      [0, -1],
      [-2, -3],
    ]) {
      const scale = barScale(both, both, 0);
      expect(scale.at(both)).toBe(0.5);
      expect([scale.bandFrom, scale.bandTo]).toEqual([0.5, 0.5]);
      expect(scale.at(below)).toBeGreaterThanOrEqual(0);
      expect(scale.at(below)).toBeLessThan(0.5);
      expect(scale.at(2 * both - below)).toBeCloseTo(1 - scale.at(below));
    }
  });

  it("An_upper_limit_alone_counts_from_the_natural_zero", () => {
    const scale = barScale(null, 245, 220);
    expect(scale.at(220)).toBeCloseTo(0);
    expect(scale.at(245)).toBeCloseTo(0.8);
  });

  it("A_lower_limit_alone_leaves_room_to_be_inside_of", () => {
    const scale = barScale(10, null, 0);
    expect(scale.at(10)).toBeCloseTo(0.2);
    expect(scale.at(15)).toBeCloseTo(0.5);
  });

  it("A_limit_at_its_natural_zero_or_below_still_has_a_scale", () => {
    for (const [lower, upper] of [
      [null, 0],
      [0, null],
      [-2, null],
      [5, 5],
    ] as const) {
      const scale = barScale(lower, upper, 0);
      expect(Number.isFinite(scale.at(1))).toBe(true);
      expect(scale.at(2)).toBeGreaterThan(scale.at(1));
    }
  });
});
