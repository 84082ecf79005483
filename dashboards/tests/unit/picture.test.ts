import { describe, expect, it } from "vitest";
import { gateOf } from "../../src/charts/gate";
import { pressureRange, sheetGeometry, yOfPressure } from "../../src/charts/geometry";
import { gapHatches } from "../../src/charts/hatches";
import { planLens } from "../../src/charts/lens";
import { ribbonPieces } from "../../src/charts/ribbon";
import type { PhaseLive, RunLive } from "../../src/feed/contract";
import type { SpecLayout, UsualPhase } from "../../src/feed/layoutContract";
import { axisLength, timeStep } from "../../src/state/timeAxis";

describe("time axis", () => {
  it("Lays_the_usual_length_out_from_the_start_and_keeps_it", () => {
    for (const elapsed of [0, 100, 359, 360]) expect(axisLength(360, elapsed)).toBe(360);
  });

  it("A_run_that_outlasts_it_changes_the_axis_rarely", () => {
    const lengths = new Set(Array.from({ length: 3600 }, (_, s) => axisLength(360, s)));
    // Ten times its usual length: the axis has changed about once in five minutes.
    expect(lengths.size).toBeLessThan(15);
    for (let s = 0; s < 20_000; s += 7) expect(axisLength(360, s)).toBeGreaterThanOrEqual(s);
  });

  it("Steps_are_round_and_few", () => {
    expect(timeStep(360, 9)).toBe(60);
    expect(timeStep(3600, 9)).toBe(600);
  });
});

describe("geometry", () => {
  it("Curves_get_at_least_60_percent_of_a_desk_sheet_and_the_strips_do_not_overlap", () => {
    const g = sheetGeometry(1352, 900, "desk");
    expect(g.plot.height / 900).toBeGreaterThanOrEqual(0.6);
    expect(g.ribbons?.thermal).toBeGreaterThan(g.plot.top + g.plot.height);
    expect((g.ribbons?.vacuum ?? 0) + (g.ribbons?.height ?? 0)).toBeLessThan(g.pressure?.top ?? 0);
    expect((g.pressure?.top ?? 0) + (g.pressure?.height ?? 0)).toBeLessThanOrEqual(g.floor);
  });

  it("Each_decade_of_pressure_takes_the_same_height", () => {
    const box = { left: 0, top: 0, width: 10, height: 300 };
    const range = pressureRange(1.8, 5);
    const step = yOfPressure(box, range, 10) - yOfPressure(box, range, 100);
    expect(yOfPressure(box, range, 1) - yOfPressure(box, range, 10)).toBeCloseTo(step);
    expect(range.min).toBeLessThan(1);
  });
});

describe("gate", () => {
  const spec = {
    liquidus: 220,
    limits: [{ figure: "timeAboveLiquidus", lower: 45, upper: 90, level: 217, severity: "fail", document: null }],
  } as unknown as SpecLayout;
  const run = (values: (number | null)[], final = false) =>
    ({
      figures: values.map((value, i) => ({
        figure: "timeAboveLiquidus",
        channel: `tc${i}`,
        value,
        lower: 45,
        upper: 90,
        final,
      })),
    }) as unknown as RunLive;

  it("Begins_when_the_last_channel_has_had_its_least_and_ends_when_the_first_has_had_its_most", () => {
    expect(gateOf(run([64, 57, 60]), spec, 267, null)).toEqual({
      level: 217,
      lower: 45,
      upper: 90,
      from_s: 255,
      to_s: 293,
    });
  });

  it("Stays_where_it_was_once_the_curves_have_fallen", () => {
    const before = gateOf(run([64, 57]), spec, 267, null);
    expect(gateOf(run([70, 66], true), spec, 290, before)).toBe(before);
  });

  it("Is_absent_before_the_first_crossing", () => {
    expect(gateOf(run([null, 0]), spec, 100, null)).toBeNull();
  });
});

describe("lens", () => {
  const input = {
    plot: { left: 68, top: 28, width: 1256, height: 540 },
    axis: { min: 0, max: 360 },
    temperatures: { min: 20, max: 255 },
    liquidus: 220,
    values: [228, 226, 224],
    peakLimit: 245,
    from_s: 200,
    until_s: 290,
    least: 205,
    greatest: 231,
    shown: false,
  };

  it("Is_shown_below_twelve_kelvin_of_span_only", () => {
    expect(planLens(input)).not.toBeNull();
    expect(planLens({ ...input, values: [240, 226] })).toBeNull();
    expect(planLens({ ...input, values: [210, 200] })).toBeNull();
  });

  it("Goes_later_than_it_comes", () => {
    expect(planLens({ ...input, values: [238, 225] })).toBeNull();
    expect(planLens({ ...input, values: [238, 225], shown: true })).not.toBeNull();
  });

  it("Shares_the_time_axis_and_stays_under_the_curves", () => {
    const lens = planLens(input);
    expect(lens?.box.left).toBeCloseTo(68 + (200 / 360) * 1256, 0);
    expect(lens?.box.width).toBeCloseTo((90 / 360) * 1256, 0);
    expect(lens?.box.top).toBeGreaterThan(28 + (1 - (205 - 20) / 235) * 540);
    expect((lens?.box.top ?? 0) + (lens?.box.height ?? 0)).toBeLessThanOrEqual(568);
  });
});

describe("ribbon", () => {
  const usual: UsualPhase[] = [
    { phase: "load", track: "thermal", start_s: 0, duration_s: 20 },
    { phase: "preheat", track: "thermal", start_s: 20, duration_s: 70 },
    { phase: "soak", track: "thermal", start_s: 90, duration_s: 90 },
  ];
  const phases: PhaseLive[] = [
    { phase: "load", track: "thermal", start: 1000, end: 26_000 },
    { phase: "preheat", track: "thermal", start: 26_000, end: null },
  ];

  it("Past_present_and_what_usually_comes", () => {
    expect(ribbonPieces("thermal", phases, usual, 1000, 40, true)).toEqual([
      { phase: "load", kind: "past", from_s: 0, to_s: 25, usual_s: 20 },
      { phase: "preheat", kind: "present", from_s: 25, to_s: 40, usual_s: 70 },
      { phase: "soak", kind: "future", from_s: 90, to_s: 180, usual_s: 90 },
    ]);
  });

  it("A_late_step_is_drawn_from_now_on_never_in_the_past", () => {
    const pieces = ribbonPieces("thermal", phases, usual, 1000, 120, true);
    expect(pieces.at(-1)).toMatchObject({ kind: "future", from_s: 120 });
  });

  it("A_finished_run_has_no_future", () => {
    expect(ribbonPieces("thermal", phases, usual, 1000, 40, false).every((piece) => piece.kind === "past")).toBe(true);
  });
});

describe("hatches", () => {
  const strip = { left: 0, top: 10, width: 100, height: 200 };
  const channel = (id: string, silentSince_s: number | null = null) => ({
    id,
    silentSince_s,
    detached: `${id} came off`,
    heightAt: () => 77,
  });

  it("One_silent_channel_is_hatched_where_it_fell_silent", () => {
    const pieces = gapHatches(
      [channel("a"), channel("b")],
      [{ channel: "a", start: 10_000, end: 14_000, reason: null }],
      0,
      100,
      strip,
    );
    expect(pieces).toEqual([{ from_s: 10, to_s: 14, top: 69, bottom: 85, ring: 77, words: null }]);
  });

  it("All_silent_is_one_column", () => {
    const gaps = ["a", "b"].map((id) => ({ channel: id, start: 10_000, end: 14_000, reason: null }));
    expect(gapHatches([channel("a"), channel("b")], gaps, 0, 100, strip)).toEqual([
      { from_s: 10, to_s: 14, top: 10, bottom: 210, ring: null, words: null },
    ]);
  });

  it("A_thermocouple_that_came_off_says_so_and_silences_no_strip", () => {
    const gap = { channel: "a", start: 10_000, end: null, reason: "detached" as const };
    expect(gapHatches([channel("a")], [gap], 0, 100, strip)).toEqual([
      { from_s: 10, to_s: 100, top: 69, bottom: 85, ring: 77, words: "a came off" },
    ]);
  });

  it("What_the_page_sees_going_on_reaches_to_now", () => {
    expect(gapHatches([channel("a", 95)], [], 0, 100, strip)).toEqual([
      { from_s: 95, to_s: 100, top: 10, bottom: 210, ring: null, words: null },
    ]);
  });
});
