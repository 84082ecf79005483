import { describe, expect, it } from "vitest";
import type { CellChange, CellState, FigureLive, RunLive } from "../../src/feed/contract";
import { applyChange } from "../../src/state/applyChange";

const figure = (channel: string, value: number | null): FigureLive => ({
  figure: "timeAboveLiquidus",
  channel,
  value,
  low: null,
  high: null,
  unit: "s",
  U: null,
  lower: null,
  upper: 90,
  verdict: null,
  reason: null,
  decidedBy: null,
  severity: "fail",
  notes: ["noUncertainty"],
  margin: value === null ? null : 90 - value,
  usual: 61,
  final: false,
});
const run = (number: number, carrier: string): RunLive => ({
  number,
  carrier,
  kind: "profile",
  recipe: null,
  load: null,
  startReason: "slope",
  start: 1000,
  end: null,
  endReason: null,
  notes: [],
  specName: null,
  specVersion: null,
  phases: [],
  figures: [figure("tc1", 10), figure("tc2", 20)],
  gaps: [],
  verdict: null,
  reasons: [],
});
const alarm = (value: number) => ({ id: "a", value, timeToAct_s: 12, what: "as it was" }) as never;
const state: CellState = {
  cell: 1,
  seq: 10,
  t: 1000,
  runs: [run(7, "A"), run(8, "B")],
  alarms: [alarm(91)],
  hiddenAlarms: [],
  devices: [],
  filtered: [],
};
const nothing: CellChange = {
  cell: 1,
  after: 10,
  seq: 12,
  t: 1200,
  order: null,
  runs: null,
  alarms: null,
  hiddenAlarms: null,
  numbers: null,
  devices: null,
  filtered: null,
};
/** As the hub packs: value, low, high, margin of each; in the middle of a larger buffer, as the socket gives it. */
const packed = (...numbers: number[]): Uint8Array => {
  const bytes = new Uint8Array(4 * numbers.length + 3);
  const view = new DataView(bytes.buffer, 3);
  for (const [i, number] of numbers.entries()) view.setFloat32(4 * i, number, true);
  return bytes.subarray(3);
};

describe("a change of a state", () => {
  it("Leaves_everything_that_it_does_not_name", () => {
    expect(applyChange(state, nothing)).toEqual({ ...state, seq: 12, t: 1200 });
  });

  it("Moves_the_numbers_of_the_figures_named_and_no_others", () => {
    const change = {
      ...nothing,
      runs: [{ number: 8, head: null, at: [1], data: packed(20.5, Number.NaN, 30, 69.5), anew: null }],
    };
    const after = applyChange(state, change);
    expect(after?.runs[1].figures[1]).toEqual({ ...figure("tc2", 20.5), high: 30 });
    expect(after?.runs[1].figures[0]).toBe(state.runs[1].figures[0]);
    expect(after?.runs[0]).toBe(state.runs[0]);
  });

  it("A_head_without_figures_keeps_those_that_are_there", () => {
    const head = { ...run(7, "A"), figures: [], end: 5000 };
    const anew = [{ at: 0, figure: { ...figure("tc1", 11), final: true } }];
    const after = applyChange(state, { ...nothing, runs: [{ number: 7, head, at: [], data: packed(), anew }] });
    expect(after?.runs[0].end).toBe(5000);
    expect(after?.runs[0].figures.map((one) => [one.value, one.final])).toEqual([
      [11, true],
      [20, false],
    ]);
  });

  it("Takes_a_new_run_and_the_order_of_runs", () => {
    const next = { ...run(9, "A"), figures: [] };
    const after = applyChange(state, {
      ...nothing,
      order: [9, 8],
      runs: [{ number: 9, head: next, at: [], data: packed(), anew: null }],
    });
    expect(after?.runs.map((one) => one.number)).toEqual([9, 8]);
    expect(after?.runs[0].figures).toEqual([]);
  });

  it("Moves_the_numbers_of_a_standing_alarm", () => {
    const after = applyChange(state, { ...nothing, numbers: [{ id: "a", value: 92, timeToAct_s: 11 }] });
    expect(after?.alarms[0]).toMatchObject({ value: 92, timeToAct_s: 11, what: "as it was" });
  });

  it("Is_refused_where_it_follows_another_state_or_names_what_is_not_there", () => {
    expect(applyChange(state, { ...nothing, after: 9 })).toBeNull();
    expect(applyChange(state, { ...nothing, order: [7, 8, 9] })).toBeNull();
    const unknown = { number: 9, head: null, at: [0], data: packed(1, 1, 1, 1), anew: null };
    expect(applyChange(state, { ...nothing, runs: [unknown] })).toBeNull();
  });
});
