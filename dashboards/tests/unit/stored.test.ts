import { describe, expect, it } from "vitest";
import type { CellLayout, SpecLayout } from "../../src/feed/layoutContract";
import type { RecordedFigure, RunCurves, RunDetail } from "../../src/feed/records";
import { troublesAt, troublesOf } from "../../src/state/marks";
import { bandOf, differenceOf, firstAbove, overlaid, pairFigures, pointAt } from "../../src/state/overlay";
import { storedPrompt } from "../../src/state/storedPrompt";
import { storedRun } from "../../src/state/storedRun";
import { en } from "../../src/texts/en";

const start = "2026-11-25T12:00:00Z";
const startMs = Date.parse(start);

const figure = (part: Partial<RecordedFigure>): RecordedFigure => ({
  figure: "peakTemperature",
  channel: "tc1",
  value: 230,
  low: null,
  high: null,
  unit: "degC",
  lower: null,
  upper: 245,
  verdict: "pass",
  reason: null,
  notes: [],
  margin: 15,
  U: 2,
  severity: "fail",
  decidedBy: null,
  ...part,
});

function detail(figures: readonly RecordedFigure[], verdict: "pass" | "fail" | "undetermined"): RunDetail {
  const channel = (id: string, role: "product" | "pressure") => ({
    id,
    name: id,
    role,
    place: null,
    carrier: null,
    unit: role === "product" ? ("degC" as const) : ("mbar" as const),
    device: role === "product" ? "amp" : "gauge",
    liquidus: null,
  });
  return {
    run: {
      cell: 1,
      number: 24,
      carrier: "A",
      kind: "profile",
      recipe: null,
      startReason: "heating",
      start,
      end: "2026-11-25T12:01:40Z",
      endReason: "cooled",
      spec: { name: "Board", version: 3 },
      verdict,
      reasons: [],
      notes: [],
      product: null,
      serials: [],
      load: null,
      decision: null,
    },
    figures,
    phases: [{ phase: "load", track: "thermal", start_s: 0, end_s: 100 }],
    channels: [channel("tc1", "product"), channel("tc2", "product"), channel("p", "pressure")],
    devices: [
      { id: "amp", name: "amp", period_s: 0.1 },
      { id: "gauge", name: "gauge", period_s: 0.1 },
    ],
    specInForce: null,
    previous: 23,
    next: null,
  };
}

/** A hundred seconds; tc2 is a kelvin hotter, and gives nothing from 40 s to 60 s; both devices answer at the same moments. */
function curves(extra: (t: number) => number = () => 0): RunCurves {
  const times: number[] = [];
  for (let i = -20; i <= 1100; i++) for (let twice = 0; twice < 2; twice++) times.push(i / 10);
  const hole = (t: number): boolean => t > 40 && t < 60;
  return {
    start,
    time_s: times,
    curves: [
      {
        channel: "tc1",
        unit: "degC",
        values: times.map((t, i) => (i % 2 === 0 ? t + extra(t) : null)),
        quality: times.map((_, i) => (i % 2 === 0 ? "0" : "3")).join(""),
      },
      {
        channel: "tc2",
        unit: "degC",
        values: times.map((t, i) => (i % 2 === 0 && !hole(t) ? t + 1 : null)),
        quality: times.map((t, i) => (i % 2 === 1 ? "3" : hole(t) ? "2" : "0")).join(""),
      },
      {
        channel: "p",
        unit: "mbar",
        values: times.map((_, i) => (i % 2 === 1 ? 1000 : null)),
        quality: times.map((_, i) => (i % 2 === 1 ? "0" : "3")).join(""),
      },
    ],
    marks: [],
    lost: [],
  };
}

describe("a run of the record", () => {
  const run = storedRun(detail([figure({}), figure({ channel: "tc2", value: 240 })], "pass"), curves(), null);

  it("Is_in_the_shapes_of_a_live_one_and_finished", () => {
    expect(run.view.mode).toBe("finished");
    expect(run.view.elapsed_s).toBe(100);
    expect(run.view.temperatures.map((channel) => channel.layout.id)).toEqual(["tc1", "tc2"]);
    expect(run.view.chamber?.layout.id).toBe("p");
    expect(run.view.figures.map((row) => [row.channel, row.value, row.U])).toEqual([["tc2", 240, 2]]);
    // The label says what was read at the end of the run, not after it.
    expect(run.view.temperatures[0].shown).toBeCloseTo(100, 3);
  });

  it("Marked_readings_keep_their_kind_and_say_where_they_are", () => {
    const marked = curves((t) => (t === 30 ? 60 : 0));
    const [tc1, tc2] = marked.curves;
    const at = (own: typeof tc1, is: (t: number) => boolean): typeof tc1 => ({
      ...own,
      quality: [...own.quality].map((q, i) => (q === "0" && is(marked.time_s[i]) ? "1" : q)).join(""),
    });
    const run = storedRun(
      detail([figure({})], "undetermined"),
      {
        ...marked,
        curves: [at(tc1, (t) => t === 30), at(tc2, (t) => t >= 70 && t <= 100), at(marked.curves[2], (t) => t === 51)],
        marks: [
          { channel: "tc1", from_s: 30, to_s: 30, quality: "uncertain:spike" },
          { channel: "tc2", from_s: 70, to_s: 100, quality: "uncertain:detached" },
          { channel: "p", from_s: 51, to_s: 51, quality: "uncertain:spike" },
        ],
      },
      null,
    );
    const troubles = troublesOf(run.view, run.store.traces?.marks ?? []);
    expect(troubles).toEqual([
      { kind: "spike", name: "tc1", channel: 0, from_s: 30, to_s: 30 },
      // A row needs a moment of its own, so it lies a microsecond later.
      { kind: "spike", name: "p", channel: 2, from_s: expect.closeTo(51, 3), to_s: expect.closeTo(51, 3) },
      { kind: "detached", name: "tc2", channel: 1, from_s: 70, to_s: 100 },
    ]);
    expect(run.store.traces?.marks[0].value).toBe(90);
    expect(troublesAt(troubles, 30.2, 0.3).map((one) => one.kind)).toEqual(["spike"]);
    expect(troublesAt(troubles, 30.4, 0.3)).toEqual([]);
    expect(troublesAt(troubles, 80, 0.3).map((one) => one.name)).toEqual(["tc2"]);
  });

  it("Is_drawn_with_what_is_usual_of_its_own_spec_though_the_cell_solders_another_now", () => {
    const phase = (name: string) => [{ phase: name, track: "thermal" as const, start_s: 0, duration_s: 90 }];
    const spec = (name: string, usualCycle_s: number): SpecLayout => ({
      name,
      version: 3,
      alloy: "some",
      solidus: 217,
      liquidus: 220,
      soakFrom: null,
      soakTo: null,
      vacuumTarget: null,
      limits: [],
      usualCycle_s,
      usualPhases: phase(`of ${name}`),
    });
    const cell: CellLayout = {
      cell: 1,
      name: "Cell 1",
      demo: false,
      session: "s",
      channels: [],
      devices: [],
      interval_s: 0.1,
      fromSeq: 0,
      usualCycle_s: 400,
      usualPhases: phase("of another"),
      spec: spec("Another", 400),
      specs: [spec("Another", 400), spec("Board", 120)],
      now: 0,
    };
    const shown = (specInForce: SpecLayout | null) => {
      const { layout } = storedRun({ ...detail([], "pass"), specInForce }, curves(), cell).view;
      return [layout.usualCycle_s, layout.usualPhases.map((one) => one.phase)];
    };
    expect(shown(spec("Board", 120))).toEqual([120, ["of Board"]]);
    expect(shown(null)).toEqual([null, []]); // the version that judged it is no longer here
  });

  it("Loses_no_row_where_two_devices_answer_at_one_moment", () => {
    const { traces } = run.store;
    const rows = (traces?.end ?? 0) - (traces?.first ?? 0);
    expect(rows).toBeGreaterThanOrEqual(curves().time_s.length);
  });

  it("A_hole_in_a_channel_is_a_gap_of_that_channel_alone", () => {
    const gaps = run.view.run?.gaps ?? [];
    expect(gaps.map((gap) => gap.channel)).toEqual(["tc2"]);
    expect((gaps[0].start - startMs) / 1000).toBeCloseTo(40, 1);
    expect(((gaps[0].end ?? 0) - startMs) / 1000).toBeCloseTo(60, 1);
  });

  it("Says_its_verdict_with_the_reason_and_what_is_missing", () => {
    expect(storedPrompt(run, null, en).sentence).toBe(
      "Pass: all 1 limits are met.".replace("all 1 limits are", "its limit is"),
    );
    const hot = storedRun(
      detail(
        [
          figure({ value: 246, verdict: "fail" }),
          figure({ figure: "soakTime", unit: "s", lower: 60, upper: 120, value: 80 }),
        ],
        "fail",
      ),
      curves(),
      null,
    );
    const said = storedPrompt(hot, null, en);
    expect(said.sentence).toBe("Fail: tc1, peak 246.0\u00a0°C, at most 245 asked.");
    expect(said.tone).toBe("soon");
    expect(hot.view.deciding).toBe("tc1");
    expect(said.detail).toMatch(/^1 of 2 limits are met\./);
    const unknown = storedRun(
      detail([figure({ value: null, verdict: "undetermined", reason: "gap", U: null })], "undetermined"),
      curves(),
      null,
    );
    expect(storedPrompt(unknown, null, en).sentence).toBe(
      "Undetermined: tc1, peak cannot be told: readings are missing.",
    );
  });

  it("A_thermocouple_that_came_off_is_named_as_the_reason", () => {
    const verdict = (channel: string | null, notes: readonly string[]): string => {
      const off = detail(
        [figure({ channel, value: null, verdict: "undetermined", reason: "badQuality", U: null })],
        "undetermined",
      );
      return storedPrompt(storedRun({ ...off, run: { ...off.run, notes } }, curves(), null), null, en).sentence;
    };
    expect(verdict("tc1", ["warmStart", "detached/tc1"])).toBe(
      "Undetermined: tc1, peak cannot be told: the thermocouple of tc1 came off.",
    );
    expect(verdict(null, ["detached/tc2"])).toBe(
      "Undetermined: peak cannot be told: the thermocouple of tc2 came off.",
    );
    expect(verdict("tc1", ["detached/tc2"])).toBe("Undetermined: tc1, peak cannot be told: no judged readings.");
  });
});

describe("a run over another", () => {
  const a = storedRun(detail([], "pass"), curves(), null);
  const b = storedRun(
    detail([], "pass"),
    curves((t) => (t === 30 ? 500 : 0)),
    null,
  );

  it("A_band_goes_from_coolest_to_hottest_and_keeps_a_spike", () => {
    const band = bandOf(a, overlaid(a), 0.5);
    expect(pointAt(band, 20)?.low).toBeLessThanOrEqual(20.1);
    expect((pointAt(band, 20)?.high ?? 0) - (pointAt(band, 20)?.low ?? 0)).toBeGreaterThanOrEqual(1);
    const highest = Math.max(...bandOf(b, overlaid(b), 5).flatMap((stretch) => stretch.map((point) => point.high)));
    expect(highest).toBeCloseTo(530, 3);
  });

  it("A_band_is_broken_where_all_its_channels_were_silent", () => {
    const second = a.view.temperatures[1].index;
    const band = bandOf(a, [second], 0.2);
    expect(band.length).toBe(2);
    expect(pointAt(band, 50)).toBeNull();
    expect(band[0].at(-1)?.t).toBeLessThanOrEqual(40.1);
    expect(band[1][0].t).toBeGreaterThanOrEqual(59.9);
  });

  it("A_difference_is_taken_at_the_moved_time_and_only_where_both_are", () => {
    const band = bandOf(a, overlaid(a), 0.2);
    // Run b moved to 10 s later is 10 K cooler at every moment.
    const difference = differenceOf(band, band, 10);
    const values = difference.flatMap((stretch) => stretch.map((point) => point.high));
    expect(Math.min(...values)).toBeGreaterThan(8.5);
    expect(Math.max(...values)).toBeLessThan(11.5);
    expect(difference[0][0].t).toBeGreaterThanOrEqual(10);
  });

  it("Liquidus_is_where_the_first_board_reached_it", () => {
    expect(firstAbove(a, overlaid(a), 25)).toBeCloseTo(24, 1);
    expect(firstAbove(a, overlaid(a), 500)).toBeNull();
  });

  it("Figures_are_paired_the_largest_difference_by_its_window_first", () => {
    const rows = (value: number, soak: number) =>
      storedRun(
        detail(
          [figure({ value }), figure({ figure: "soakTime", unit: "s", lower: 60, upper: 120, value: soak, U: 3 })],
          "pass",
        ),
        curves(),
        null,
      ).view.figures;
    // A kelvin of two that are each good to 2 K is no difference.
    const pairs = pairFigures(rows(230, 90), rows(231, 84));
    expect(pairs[1].weight).toBe(0);
    expect(pairs.map((pair) => [pair.a.figure, pair.difference])).toEqual([
      ["soakTime", 6],
      ["peakTemperature", -1],
    ]);
    expect(pairs[0].u).toBeCloseTo(Math.hypot(3, 3), 9);
  });
});
