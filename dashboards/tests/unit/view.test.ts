import { describe, expect, it } from "vitest";
import type { RunLive } from "../../src/feed/contract";
import type { CellLayout, SpecLayout } from "../../src/feed/layoutContract";
import { adoptLayout, cellNow, createCellStore, gapMs, staleMs } from "../../src/state/cellStore";
import { runToShow, specOf, viewCell } from "../../src/state/view";

const run = (carrier: string, number: number, start: number, end: number | null): RunLive =>
  ({
    carrier,
    number,
    start,
    end,
    phases: [],
    figures: [],
    gaps: [],
    notes: [],
    reasons: [],
    verdict: null,
  }) as unknown as RunLive;

const layout: CellLayout = {
  cell: 1,
  name: "Cell 1",
  demo: false,
  session: "s",
  channels: [
    {
      id: "a1",
      name: "A edge",
      role: "product",
      place: "joint",
      carrier: "A",
      unit: "degC",
      device: "amp",
      liquidus: 220,
    },
    {
      id: "b1",
      name: "B edge",
      role: "product",
      place: "joint",
      carrier: "B",
      unit: "degC",
      device: "amp",
      liquidus: 220,
    },
    {
      id: "v",
      name: "Vapour",
      role: "vapour",
      place: null,
      carrier: null,
      unit: "degC",
      device: "slow",
      liquidus: null,
    },
    {
      id: "p",
      name: "Chamber",
      role: "pressure",
      place: null,
      carrier: null,
      unit: "mbar",
      device: "amp",
      liquidus: null,
    },
  ],
  devices: [
    { id: "amp", name: "amplifier", period_s: 0.1 },
    { id: "slow", name: "slow box", period_s: 2 },
  ],
  interval_s: 0.1,
  fromSeq: 0,
  usualCycle_s: 360,
  usualPhases: [],
  spec: null,
  specs: [],
  now: 0,
};

function stage() {
  const store = createCellStore();
  adoptLayout(store, layout);
  store.link = { kind: "live" };
  store.traces?.append({
    seq: 1,
    t: 10_000,
    values: Float32Array.of(100, 50, 230, 1010),
    qualities: new Uint8Array(4),
  });
  store.heard = { atMs: 500, t: 10_000 };
  store.lastScanAtMs = 500;
  return store;
}

describe("run to show", () => {
  it("The_open_run_that_began_last_else_the_one_that_ended_last", () => {
    expect(runToShow([])).toBeNull();
    expect(runToShow([run("A", 1, 0, 100), run("B", 2, 50, 300)])?.carrier).toBe("B");
    expect(runToShow([run("A", 3, 200, null), run("B", 2, 50, 300)])?.carrier).toBe("A");
    expect(runToShow([run("A", 3, 200, null), run("B", 4, 250, null)])?.carrier).toBe("B");
  });

  it("Or_that_of_the_carrier_that_somebody_asked_for", () => {
    expect(runToShow([run("A", 3, 200, null), run("B", 4, 250, null)], "A")?.carrier).toBe("A");
    expect(runToShow([run("A", 3, 200, null)], "C")?.carrier).toBe("A");
  });
});

describe("spec of a run", () => {
  const board = (name: string, liquidus: number): SpecLayout => ({
    name,
    version: 2,
    alloy: "some",
    solidus: liquidus - 3,
    liquidus,
    soakFrom: null,
    soakTo: null,
    vacuumTarget: null,
    limits: [
      { figure: `limitOf${name}`, lower: null, upper: 90, level: null, severity: "fail", document: null },
    ] as SpecLayout["limits"],
    usualCycle_s: liquidus + 100,
    usualPhases: [{ phase: `phaseOf${name}`, track: "thermal", start_s: 10, duration_s: 20 }],
  });
  const usual = board("Usual", 220);
  const other = board("Other", 141);
  const both: CellLayout = { ...layout, spec: usual, specs: [usual, other] };

  it("Is_the_one_that_it_names_else_the_cell_s_and_never_another_s", () => {
    expect(specOf(both, "Other", 2)).toBe(other);
    expect(specOf(both, null, null)).toBe(usual);
    expect(specOf(both, "Other", 1)).toBeNull(); // another version of it judges something else
  });

  it("Gives_the_view_its_liquidus_and_limits", () => {
    const store = stage();
    adoptLayout(store, both);
    store.state = {
      cell: 1,
      seq: 1,
      t: 10_000,
      runs: [{ ...run("A", 1, 0, null), specName: "Other", specVersion: 2 }],
      alarms: [],
      hiddenAlarms: [],
      devices: [],
      filtered: [],
    };
    const view = viewCell(store, 500);
    expect(view?.layout.spec).toBe(other);
    expect(view?.figures.map((row) => row.figure)).toEqual(["limitOfOther"]);
  });

  const learnt = (specName: string | null, specVersion: number | null, kind: RunLive["kind"] = "profile") => {
    const store = stage();
    adoptLayout(store, { ...both, usualCycle_s: 320, usualPhases: usual.usualPhases });
    store.state = {
      cell: 1,
      seq: 1,
      t: 10_000,
      runs: [{ ...run("A", 1, 0, null), kind, specName, specVersion }],
      alarms: [],
      hiddenAlarms: [],
      devices: [],
      filtered: [],
    };
    const shown = viewCell(store, 500)?.layout;
    return [shown?.usualCycle_s, shown?.usualPhases.map((phase) => phase.phase)];
  };

  it("Gives_a_run_what_is_usual_of_its_own_product_and_never_of_another", () => {
    expect(learnt("Other", 2)).toEqual([241, ["phaseOfOther"]]);
    expect(learnt("Usual", 2)).toEqual([320, ["phaseOfUsual"]]);
    expect(learnt(null, null)).toEqual([320, ["phaseOfUsual"]]);
    expect(learnt("Gone", 1)).toEqual([null, []]); // its spec is no longer here
    expect(learnt("Other", 2, "production")).toEqual([null, []]); // learnt from runs with sensors on the boards
  });
});

describe("view", () => {
  it("A_carrier_shows_its_own_sensors_and_those_that_are_shared", () => {
    const store = stage();
    store.state = {
      cell: 1,
      seq: 1,
      t: 10_000,
      runs: [run("A", 3, 200, null), run("B", 4, 250, null)],
      alarms: [],
      hiddenAlarms: [],
      devices: [],
      filtered: [],
    };
    const ids = (carrier: string) =>
      viewCell(store, 500, null, carrier)?.temperatures.map((channel) => channel.layout.id);
    expect(ids("A")).toEqual(["a1", "v"]);
    expect(ids("B")).toEqual(["b1", "v"]);
  });

  it("A_smoothed_value_stands_beside_the_channels_own", () => {
    const store = stage();
    const filtered = [{ channel: "a1", t: 9_900, value: 101.5, filter: "medianOfThree" as const }];
    store.state = { cell: 1, seq: 1, t: 10_000, runs: [], alarms: [], hiddenAlarms: [], devices: [], filtered };
    const smooth = viewCell(store, 500, null)?.channels.map((channel) => channel.smooth?.value ?? null);
    expect(smooth?.filter((value) => value !== null)).toEqual([101.5]);
  });

  it("A_reading_is_old_after_three_periods_of_its_own_device_and_at_least_one_second", () => {
    const store = stage();
    const stale = (afterMs: number) => viewCell(store, 500 + afterMs, null)?.channels.map((channel) => channel.stale);
    expect(stale(900)).toEqual([false, false, false, false]);
    expect(stale(1100)).toEqual([true, true, false, true]);
    expect(stale(6100)).toEqual([true, true, true, true]);
  });

  it("Now_goes_on_by_the_own_clock_and_stops_when_the_service_is_lost", () => {
    const store = stage();
    expect(cellNow(store, 2500)).toBe(12_000);
    store.link = { kind: "lost", sinceMs: 600, nextAttemptMs: null, wasLive: true };
    expect(cellNow(store, 2500)).toBe(10_000);
  });

  it("Gap_and_age_limits_are_those_of_the_definitions", () => {
    expect([0.1, 0.4, 1, 5].map(gapMs)).toEqual([1000, 2000, 3000, 7500]);
    expect([0.1, 0.5, 2].map(staleMs)).toEqual([1000, 1500, 6000]);
  });
});
