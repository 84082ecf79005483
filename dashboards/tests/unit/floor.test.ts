import { describe, expect, it } from "vitest";
import { Quality } from "../../src/feed/frames";
import { type FloorCell, floorAsks, floorRest } from "../../src/state/floor";
import { type Prompt, prompt } from "../../src/state/promptTypes";
import { tileShape } from "../../src/state/tileShape";
import { createTraces } from "../../src/state/traces";

const cell = (number: number, ...prompts: Prompt[]): FloorCell => ({ cell: number, name: `Cell ${number}`, prompts });
const due = (key: string, tone: Prompt["tone"], timeToAct_s: number | null): Prompt => ({
  ...prompt(key, tone, key, ""),
  alarm: { timeToAct_s } as Prompt["alarm"],
});

describe("floor", () => {
  it("The_nearest_deadline_comes_first_then_what_is_broken_then_what_is_outside", () => {
    const asks = floorAsks([
      cell(1, due("outside", "soon", null)),
      cell(2, due("broken", "act", null)),
      cell(3, due("late", "soon", 40)),
      cell(4, due("near", "soon", 15)),
      cell(5, prompt("calm", "calm", "", "")),
      cell(6, prompt("link/lost", "unknown", "", "")),
    ]);
    expect(asks.map((ask) => ask.prompt.key)).toEqual(["near", "late", "broken", "outside"]);
  });

  it("A_cell_that_is_not_heard_is_not_called_calm", () => {
    const rest = floorRest([
      cell(1, prompt("calm", "calm", "", "")),
      cell(2, prompt("link/lost", "unknown", "", "")),
      cell(3, due("broken", "act", null)),
    ]);
    expect(rest).toEqual({ unknown: ["Cell 2"], calm: ["Cell 1"] });
  });

  it("A_verdict_of_a_run_that_is_over_asks_for_nothing_on_the_floor", () => {
    expect(floorAsks([cell(1, prompt("finished/7", "soon", "Fail", ""))])).toEqual([]);
  });
});

describe("tile", () => {
  it("An_outage_stays_a_hole_and_a_spoilt_reading_is_not_drawn", () => {
    const traces = createTraces(100, [10_000]);
    const add = (seq: number, t: number, value: number, quality: number = Quality.good): void => {
      traces.append({ seq, t, values: Float32Array.of(value), qualities: Uint8Array.of(quality) });
    };
    add(0, 1000, 20);
    add(1, 1400, 21);
    add(2, 2100, 22);
    add(3, 3100, 99, Quality.bad);
    add(4, 5200, 25);
    expect(tileShape(traces, 0, 1000, 1000, Number.POSITIVE_INFINITY)).toEqual([21, 22, null, null, 25]);
    expect(tileShape(traces, 0, 1000, 1000, 2500)).toEqual([21, 22]);
  });
});
