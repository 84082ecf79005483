import { describe, expect, it } from "vitest";
import type { AlarmLive } from "../../src/feed/alarmContract";
import type { DeviceLive, RunLive } from "../../src/feed/contract";
import type { CellLayout } from "../../src/feed/layoutContract";
import { alarmFacts } from "../../src/state/alarmPrompt";
import type { Link } from "../../src/state/cellStore";
import { figureRows } from "../../src/state/figureRows";
import { prompts } from "../../src/state/prompt";
import { nextPhase } from "../../src/state/runPrompt";
import type { CellView, ChannelView } from "../../src/state/view";
import { de } from "../../src/texts/de";
import { en } from "../../src/texts/en";

const layout: CellLayout = {
  cell: 1,
  name: "Cell 1",
  demo: false,
  session: "s",
  channels: [
    {
      id: "tc1",
      name: "Board 1 choke",
      role: "product",
      place: "joint",
      carrier: "B",
      unit: "degC",
      device: "amp",
      liquidus: 220,
    },
  ],
  devices: [{ id: "amp", name: "the amplifier", period_s: 0.1 }],
  interval_s: 0.1,
  fromSeq: 0,
  usualCycle_s: 360,
  spec: null,
  specs: [],
  now: 0,
  usualPhases: [
    { phase: "reflow", track: "thermal", start_s: 200, duration_s: 60 },
    { phase: "evacuate", track: "vacuum", start_s: 228, duration_s: 15 },
  ],
};
const channel = (ageMs = 50): ChannelView => ({
  index: 0,
  layout: layout.channels[0],
  style: 1,
  value: 200,
  shown: 200,
  smooth: null,
  ageMs,
  stale: ageMs > 1000,
  good: ageMs <= 1000,
});
const run: RunLive = {
  number: 214,
  carrier: "B",
  kind: "profile",
  recipe: null,
  load: null,
  startReason: "slope",
  start: 0,
  end: null,
  endReason: null,
  notes: [],
  specName: "PB-6",
  specVersion: 3,
  phases: [{ phase: "ramp", track: "thermal", start: 186_000, end: null }],
  figures: [],
  gaps: [],
  verdict: null,
  reasons: [],
};
const view = (rest: Partial<CellView> = {}): CellView => ({
  layout,
  mode: "running",
  run,
  beside: null,
  originMs: 0,
  length_s: 360,
  elapsed_s: 198,
  nowMs: 198_000,
  channels: [channel()],
  temperatures: [channel()],
  chamber: null,
  figures: [],
  deciding: null,
  ageMs: 50,
  stale: false,
  goodCount: 1,
  ...rest,
});
const live: Link = { kind: "live" };
const tooHot: AlarmLive = {
  id: "tooHot/tc1",
  condition: "tooHot",
  channel: "tc1",
  state: "unacknowledged",
  since: 190_000,
  value: 246.9,
  limit: 245,
  priority: "high",
  holds: true,
  run: 1,
  figure: "peakTemperature",
  text: "tooHot",
  where: "tc1",
  what: "",
  consequence: "",
  action: "",
  howLong: "",
  timeToAct_s: null,
  by: "",
  comment: "",
  until: null,
};
const say = (given: { view?: CellView | null; link?: Link; alarms?: AlarmLive[]; devices?: DeviceLive[] } = {}) =>
  prompts(
    {
      view: given.view === undefined ? view() : given.view,
      link: given.link ?? live,
      alarms: given.alarms ?? [],
      devices: given.devices ?? [],
      nowMs: 1000,
      wallMs: Date.UTC(2026, 10, 25),
      comparison: null,
    },
    en,
  );

describe("prompt", () => {
  it("Calm_says_what_comes_next_and_when", () => {
    const [prompt] = say();
    expect(prompt.tone).toBe("calm");
    expect(prompt.sentence).toBe("No action asked. Evacuation in about 30\u00a0s.");
    expect(prompt.detail).toContain("Carrier B: ramp to liquidus.");
  });

  it("A_step_that_is_late_is_said_to_be_late", () => {
    expect(say({ view: view({ elapsed_s: 240 }) })[0].sentence).toBe(
      "No action asked. Evacuation usually began 12\u00a0s ago, not seen yet.",
    );
  });

  it("A_wrong_recipe_names_both_numbers", () => {
    const wrong: AlarmLive = { ...tooHot, id: "wrongRecipe/B", condition: "wrongRecipe", channel: null, figure: null };
    const [prompt] = say({ alarms: [{ ...wrong, value: 14, limit: 12 }] });
    expect(`${prompt.sentence} ${prompt.detail}`).toContain("Recipe 14 is running, the product asks for 12.");
    const [unknown] = say({ alarms: [{ ...wrong, value: null, limit: null }] });
    expect(`${unknown.sentence} ${unknown.detail}`).toContain("Another recipe than the spec asks for.");
  });

  it("Too_hot_says_what_to_do_first_then_what_and_since_when", () => {
    const [prompt] = say({ alarms: [tooHot] });
    expect(prompt).toMatchObject({
      tone: "act",
      alarm: tooHot,
      sentence: "Keep the chamber closed, let the programme end, hold the boards.",
    });
    expect(prompt.detail).toContain(
      "Board 1 choke reads 246.9\u00a0°C, 1.9\u00a0K above its peak limit of 245\u00a0°C.",
    );
    expect(prompt.detail).toContain("8\u00a0s.");
  });

  it("Two_alarms_that_ask_for_the_same_each_say_which_limit", () => {
    const vapour: AlarmLive = { ...tooHot, id: "tooHot/tc1/vapour", text: "tooHot.vapour", limit: 233, figure: null };
    const long: AlarmLive = {
      ...tooHot,
      id: "timeAboveLiquidus/tc1",
      condition: "timeAboveLiquidus",
      text: "timeAboveLiquidus",
      value: 92.4,
      limit: 90,
      figure: "timeAboveLiquidus",
    };
    const keep = "Keep the chamber closed, let the programme end, hold the boards.";
    const said = say({ alarms: [tooHot, vapour, { ...long, action: keep }] });
    expect(said.map((prompt) => prompt.sentence)).toEqual([
      `${keep} Too hot: Board 1 choke.`,
      `${keep} Hotter than its vapour: Board 1 choke.`,
      `${keep} Too long above liquidus: Board 1 choke.`,
    ]);
    expect(said[1].detail).toContain("Hotter than its vapour: Board 1 choke. 246.9\u00a0°C, limit 233.0\u00a0°C.");
    const [back] = say({ alarms: [{ ...vapour, state: "returnedUnacknowledged" }] });
    expect(back.sentence).toBe("Hotter than its vapour: Board 1 choke. 246.9\u00a0°C, limit 233.0\u00a0°C.");
  });

  it("An_alarm_that_was_seen_stays_but_is_not_asked_again", () => {
    const [prompt] = say({ alarms: [{ ...tooHot, state: "acknowledged" }] });
    expect(prompt.tone).toBe("act");
    expect(prompt.alarm).toBeNull();
  });

  it("What_the_service_says_to_do_is_said_in_the_reader_s_language", () => {
    const words = { where: "", what: "", consequence: "Bauteile altern.", action: "Halten beenden.", howLong: "" };
    const alarm = {
      ...tooHot,
      condition: "timeAboveLiquidus",
      value: 92.4,
      limit: 90,
      figure: "timeAboveLiquidus",
      action: "End the hold.",
      de: words,
    };
    expect(say({ alarms: [alarm] })[0].sentence).toBe("End the hold.");
    // The value is one of the figure, whatever its channel measures.
    expect(say({ alarms: [alarm] })[0].detail).toContain(
      "Too long above liquidus: Board 1 choke. 92.4\u00a0s, limit 90.0\u00a0s.",
    );
    expect(alarmFacts(alarm, { layout: view().layout }, 200_000, de).action).toBe("Halten beenden.");
    expect(alarmFacts(alarm, { layout: view().layout }, 200_000, de).consequence).toBe("Bauteile altern.");
  });

  it("An_alarm_of_a_feed_names_it_and_quotes_the_system_that_it_goes_to", () => {
    const refused = {
      ...tooHot,
      id: "feedRejected/cell",
      condition: "feedRejected",
      channel: null,
      value: 30,
      limit: null,
    };
    const said = { ...refused, source: "historian", words: "field type conflict" };
    expect(say({ alarms: [said] })[0].sentence).toBe(
      "Lines of a feed are refused: historian. The system that it goes to says “field type conflict”.",
    );
    expect(alarmFacts(said, { layout: view().layout }, 1000, de).what).toBe(
      "Zeilen einer Weitergabe werden abgelehnt: historian. Das empfangende System sagt „field type conflict“.",
    );
    expect(say({ alarms: [{ ...refused, source: null, words: null }] })[0].sentence).toBe(
      "Lines of a feed are refused.",
    );
  });

  it("An_alarm_that_came_and_went_unseen_is_still_said", () => {
    const [prompt] = say({ alarms: [{ ...tooHot, state: "returnedUnacknowledged" }] });
    expect(prompt.tone).toBe("soon");
    expect(prompt.sentence).toBe(
      "Board 1 choke reached 246.9\u00a0°C, 1.9\u00a0K above its peak limit of 245\u00a0°C.",
    );
    expect(prompt.detail).toContain("It no longer holds; nobody has seen it yet.");
    expect(prompt.alarm).not.toBeNull();
  });

  it("The_most_urgent_comes_first", () => {
    const said = say({
      alarms: [{ ...tooHot, id: "x", condition: "slowPumpDown", channel: null }, tooHot],
      devices: [{ id: "amp", state: "down", since: 0, reason: "no answer" }],
    });
    expect(said.map((prompt) => prompt.tone)).toEqual(["act", "soon", "unknown"]);
  });

  it("A_silent_device_is_named_with_its_age_and_what_to_look_at", () => {
    const old = channel(6000);
    const said = say({
      view: view({ channels: [old], temperatures: [old] }),
      devices: [{ id: "amp", state: "down", since: 0, reason: "It does not answer." }],
    });
    expect(said[0].sentence).toBe("No data from the amplifier for 6\u00a0s. Check its plug and supply.");
    expect(said[0].tone).toBe("unknown");
  });

  it("A_lost_page_says_so_before_everything_and_knows_nothing_of_devices", () => {
    const link: Link = { kind: "lost", sinceMs: -11_000, nextAttemptMs: 9000, wasLive: true };
    const said = say({ link, alarms: [tooHot], devices: [{ id: "amp", state: "down", since: 0, reason: "" }] });
    expect(said[0].sentence).toMatch(/^This page lost the service at \d\d:\d\d:\d\d\.$/);
    expect(said[0].detail).toContain("12\u00a0s old");
    expect(said[0].detail).toContain("Asking again in 8\u00a0s.");
    expect(said.map((prompt) => prompt.key)).toEqual(["link/lost", "alarm/tooHot/tc1/unacknowledged"]);
  });

  it("Readings_that_stop_while_all_devices_are_up_are_noticed", () => {
    expect(say({ view: view({ stale: true, ageMs: 3000 }) })[0].sentence).toBe("No readings for 3\u00a0s.");
  });

  it("A_failed_run_names_the_figure_its_value_and_its_limit", () => {
    const figures = figureRows([
      {
        figure: "timeAboveLiquidus",
        channel: "tc1",
        value: 96.2,
        low: null,
        high: null,
        unit: "s",
        U: null,
        lower: 45,
        upper: 90,
        verdict: "fail",
        reason: null,
        decidedBy: null,
        severity: "fail",
        notes: [],
        margin: -6.2,
        usual: null,
        final: true,
      },
    ]);
    const said = say({
      view: view({
        mode: "finished",
        run: { ...run, end: 360_000, verdict: "fail", reasons: ["timeAboveLiquidus"] },
        figures,
      }),
    });
    expect(said[0]).toMatchObject({
      tone: "soon",
      sentence: "Fail: Board 1 choke, above liquidus 96.2\u00a0s, at least 45, at most 90 asked.",
    });
  });

  it("A_verdict_stands_beside_an_alarm_that_nobody_has_seen", () => {
    const said = say({
      view: view({ mode: "finished", run: { ...run, end: 360_000, verdict: "pass" } }),
      alarms: [{ ...tooHot, state: "returnedUnacknowledged" }],
    });
    expect(said.map((prompt) => prompt.tone)).toEqual(["soon", "calm"]);
    expect(said[1].sentence).toContain("Pass");
  });

  it("There_is_always_a_sentence", () => {
    const links: Link[] = [
      live,
      { kind: "opening" },
      { kind: "filling" },
      { kind: "lost", sinceMs: 0, nextAttemptMs: null, wasLive: false },
    ];
    for (const link of links)
      for (const given of [
        null,
        view(),
        view({ mode: "waiting", run: null }),
        view({ mode: "finished", run: { ...run, end: 1 } }),
        view({ layout: { ...layout, channels: [] } }),
      ]) {
        const said = say({ view: given, link });
        expect(said[0].sentence.length).toBeGreaterThan(10);
      }
  });

  it("Liquidus_is_spoken_of_while_the_evacuation_is_minutes_away", () => {
    const usual = [...layout.usualPhases, { phase: "soak", track: "thermal" as const, start_s: 94, duration_s: 90 }];
    expect(nextPhase(usual, [], 60)?.phase).toBe("soak");
    expect(nextPhase(usual, [], 190)?.phase).toBe("evacuate");
  });
});

/** All texts of the catalogue; functions are called with words that stand out. */
function everyText(node: unknown): string[] {
  if (typeof node === "string") return [node];
  if (typeof node === "function") return [String(node("AAA", "BBB", "CCC", "DDD"))];
  if (Array.isArray(node)) return node.flatMap(everyText);
  return node !== null && typeof node === "object" ? Object.values(node).flatMap(everyText) : [];
}

describe("texts", () => {
  it("Never_calm_anybody_down_and_never_ask_for_a_hand_in_the_machine", () => {
    const texts = everyText(en);
    expect(texts.length).toBeGreaterThan(150);
    for (const text of texts) {
      expect(text).not.toMatch(
        /\b(safe|safely|ok|okay|open|take out|remove|reach in|bypass|nothing is lost|not affected)\b/i,
      );
      expect(text).not.toContain("!");
    }
  });
});
