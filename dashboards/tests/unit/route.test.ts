import { describe, expect, it } from "vitest";
import { anyRun } from "../../src/feed/records";
import { plainLook } from "../../src/state/closerLook";
import { addressOf, type Route, routeOf } from "../../src/state/route";

describe("routes", () => {
  it("Every_place_has_an_address_that_leads_back_to_it", () => {
    const places: Route[] = [
      { place: "cell", cell: null },
      { place: "cell", cell: 2 },
      { place: "alarms", cell: null },
      { place: "alarms", cell: 3 },
      { place: "alarms", cell: 3, span: "month" },
      { place: "feeds", cell: null },
      { place: "feeds", cell: 2 },
      { place: "codes", cell: 3 },
      { place: "codes", cell: null },
      { place: "runs", cell: null, filter: anyRun, over: null },
      {
        place: "runs",
        cell: 1,
        filter: {
          ...anyRun,
          verdict: "fail",
          serial: "A/1?#",
          spec: "PB-6 & more?",
          carrier: "B",
          from: "2026-11-01",
          to: "2026-11-25",
        },
        over: 24,
      },
      { place: "run", cell: 1, run: 24 },
      { place: "run", cell: 1, run: 24, look: { ...plainLook, window: { from_s: 200.5, to_s: 240 } } },
      {
        place: "run",
        cell: 1,
        run: 24,
        atMs: Date.UTC(2026, 10, 25, 12, 1, 2),
        look: { ...plainLook, window: { from_s: 0, to_s: 40 }, channel: "board 2/edge&?" },
      },
      { place: "cell", cell: 2, closer: { run: 25, look: { ...plainLook, held_s: 0 } } },
      {
        place: "cell",
        cell: null,
        closer: {
          run: 25,
          look: { window: { from_s: 10, to_s: 99.9 }, mark_s: 12.34, cursor_s: 56.78, held_s: 90.1, channel: "tc3" },
        },
      },
      {
        place: "overlay",
        cell: 1,
        run: 24,
        other: 21,
        linedUp: "liquidus",
        look: { ...plainLook, mark_s: 200, cursor_s: 240 },
      },
      { place: "overlay", cell: 1, run: 24, other: 21, linedUp: "start" },
      { place: "overlay", cell: 1, run: 24, other: 21, linedUp: "liquidus" },
    ];
    for (const route of places) expect(routeOf(addressOf(route))).toEqual(route);
  });

  it("What_is_not_known_leads_to_the_cell", () => {
    for (const hash of ["", "#", "#/", "#/nowhere", "#/run/24", "#/cell/1/run/x", "#/cell/x/runs"])
      expect(routeOf(hash).place).toBe("cell");
    expect(routeOf("#/cell/7/nowhere")).toEqual({ place: "cell", cell: 7 });
  });

  it("A_closer_look_that_makes_no_sense_is_left_out", () => {
    for (const hash of [
      "#/cell/1?run=24",
      "#/cell/1?from=2&to=9",
      "#/cell/1?run=24&from=9&to=2&mark=-1&cursor=x&held=",
    ])
      expect(routeOf(hash)).toEqual({ place: "cell", cell: 1 });
    expect(routeOf("#/cell/1/run/24?from=5&mark=Infinity")).toEqual({ place: "run", cell: 1, run: 24 });
  });

  it("A_search_that_makes_no_sense_is_left_out", () => {
    const route = routeOf("#/runs?verdict=good&from=yesterday&to=2026-11-25&over=-1");
    expect(route).toEqual({ place: "runs", cell: null, filter: { ...anyRun, to: "2026-11-25" }, over: null });
  });
});
