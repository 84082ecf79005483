// Every place and every state that is drawn: what tests, and whoever takes pictures, ask the played service for.
// `act` runs in the page once it is there; `next` is called with the page after that.

// A few readings later, so that the curve shows what the alarm says.
const tooHot = () => {
  window.rig.tooHot(1, 20);
  window.rig.play(4);
};
// Half of the boards on another carrier that began 20 s later.
const twoCarriers = () => {
  window.rig.alterLayout = (layout) => ({
    ...layout,
    channels: layout.channels.map((one, i) => (one.role === "product" ? { ...one, carrier: i < 4 ? "A" : "B" } : one)),
  });
  window.rig.alter = (state) => ({
    ...state,
    runs: state.runs.flatMap((run) => [
      { ...run, figures: run.figures.filter((one) => one.channel === null || Number(one.channel.slice(2)) > 4) },
      {
        ...run,
        number: run.number + 1,
        carrier: "A",
        start: run.start + 20_000,
        figures: run.figures.filter((one) => one.channel === null || Number(one.channel.slice(2)) <= 4),
      },
    ]),
  });
  window.rig.cut();
  window.rig.mend(true);
};
const said = {
  recording: {
    what: "The record is 14 s behind, limit 10 s.",
    consequence: "Readings will be missing in the record.",
    action: "Check the disk of the computer that runs this service.",
    value: 14,
    limit: 10,
  },
  clock: {
    what: "The computer’s clock has stepped by 62 s.",
    consequence: "Times of other systems no longer match these.",
    action: "Check the computer’s time source.",
  },
};

export const scenes = {
  "cell-ramp": { query: "?at=190" },
  "cell-plateau": { query: "?at=240" },
  "cell-cooling": { query: "?at=310" },
  "cell-production": {
    query: "?at=240",
    act: () => {
      window.rig.alterLayout = (layout) => ({
        ...layout,
        channels: layout.channels.map((one) => (one.role === "product" ? { ...one, role: "auxiliary" } : one)),
      });
      window.rig.alter = (state) => ({
        ...state,
        runs: state.runs.map((run) => ({
          ...run,
          kind: "production",
          verdict: null,
          figures: run.figures.filter((one) => one.channel === null && one.decidedBy === null),
          phases: run.phases.filter((one) => one.track === "vacuum"),
        })),
      });
      window.rig.cut();
      window.rig.mend(true);
    },
  },
  "cell-two-carriers": { query: "?at=240", act: twoCarriers },
  "cell-many": { query: "?at=240&many=1" },
  "cell-too-hot": { query: "?at=225", act: tooHot },
  "cell-several": {
    query: "?at=225",
    act: () => {
      window.rig.tooHot(1, 20);
      window.rig.tell("slowPumpDown", "medium", { figure: "pumpDownTime", value: 24, limit: 20 });
      window.rig.silence("gauge");
      window.rig.play(4);
    },
  },
  "cell-sensor": {
    query: "?at=120",
    act: () => {
      window.rig.breakSensor("tc4");
      window.rig.play(60);
    },
  },
  "cell-silent": {
    query: "?at=150",
    act: () => {
      window.rig.silence("amp");
      window.rig.play(20);
    },
  },
  "cell-lost": { query: "?at=150", act: () => window.rig.cut(), waitMs: 3000 },
  "cell-never": { query: "?at=150&never=1", waitMs: 3000 },
  "cell-ended-pass": { query: "?", waitMs: 800 },
  "cell-ended-fail": { query: "?peak=230", waitMs: 800 },
  "cell-no-spec": { query: "?at=240&spec=0" },
  "cell-waiting": { query: "?history=0&idle=1&usual=0", act: () => window.rig.play(3) },
  "cell-first-start": {
    query: "?history=0&idle=1&usual=0&spec=0",
    act: () => {
      window.rig.silence("gauge");
      window.rig.play(3);
    },
  },
  "cell-unwired": {
    query: "?history=0&idle=1&usual=0&spec=0",
    act: () => {
      window.rig.alterLayout = (layout) => ({ ...layout, channels: [], devices: [] });
      window.rig.alter = (state) => ({ ...state, devices: [] });
      window.rig.cut();
      window.rig.mend(true);
    },
    waitMs: 2500,
  },
  "cell-disk-low": { query: "?at=150&disk=low&live=1" },
  "cell-recording": {
    query: "?at=150",
    act: (told) => window.rig.tell("recording", "high", told),
    told: said.recording,
  },
  "cell-clock": { query: "?at=150", act: (told) => window.rig.tell("clock", "medium", told), told: said.clock },
  "cell-steps": { query: "?at=240&steps=3" },
  "run-orders": { query: "?at=120", press: "run-control" },
  "run-said": {
    query: "?at=120",
    press: "run-control",
    next: async (page) => {
      await page.getByTestId("run-intervention-B").click();
      await page.waitForTimeout(300);
    },
  },
  "cell-held": { query: "?at=200", keys: ["f"], after: () => window.rig.play(30) },
  "cell-cursor": { query: "?at=250", keys: ["Shift+ArrowLeft", "Shift+ArrowLeft", "m", "Shift+ArrowLeft"] },
  "cell-closer": { query: "?at=250", keys: ["Shift+ArrowLeft", "Shift+ArrowLeft", "+", "+"] },
  run: { query: "?at=120#/cell/1/run/210", waitMs: 800 },
  "run-gap": { query: "?at=120#/cell/1/run/202", waitMs: 800 },
  "run-production": {
    query: "?at=120",
    act: () => {
      window.record.production = 206;
      location.hash = "#/cell/1/run/206";
    },
    waitMs: 800,
  },
  "run-none": { query: "?at=120#/cell/1/run/999", waitMs: 800 },
  "run-fetching": { query: "?at=120&slow=5000#/cell/1/run/209", waitMs: 800 },
  runs: { query: "?at=120#/runs", waitMs: 1500 },
  "runs-none": { query: "?history=0&idle=1&newest=0&oldest=1#/runs", waitMs: 800 },
  "runs-none-fits": { query: "?at=120#/runs?product=nothing", waitMs: 800 },
  "runs-failed": {
    query: "?at=120",
    act: () => {
      window.record.refuse = 99;
      location.hash = "#/runs";
    },
    waitMs: 800,
  },
  overlay: { query: "?at=120#/cell/1/run/210/over/204", waitMs: 1200 },
  floor: {
    query: "?at=225&live=1&cells=6#/floor",
    act: () => {
      window.others[1].tooHot(1, 20);
      window.others[2].silence("amp");
      window.others[4].cut();
    },
    waitMs: 2500,
  },
  wall: { query: "?at=240&place=wall", wall: true },
  "wall-two-carriers": { query: "?at=240&place=wall", wall: true, act: twoCarriers },
  "wall-too-hot": { query: "?at=225&place=wall", wall: true, act: tooHot },
  alarms: {
    query: "?at=225#/alarms",
    act: () => {
      window.rig.tooHot(1, 20);
      window.rig.tell("slowPumpDown", "medium", { figure: "pumpDownTime", value: 24, limit: 20 });
    },
    waitMs: 1200,
  },
  "alarms-none": { query: "?at=225&quiet=1#/alarms", waitMs: 1200 },
  feeds: { query: "?at=120&live=1&feeds=3#/feeds", waitMs: 1200 },
  "feeds-refused": {
    query: "?at=120&live=1&feeds=3",
    act: () => {
      window.feeds.refuse("historian", 3, "field type conflict: input field value is type integer");
      location.hash = "#/feeds";
    },
    waitMs: 1500,
  },
  keys: { query: "?at=120#/runs", keys: ["?"] },
  codes: { query: "?at=120#/codes" },
  decide: { query: "?at=120#/cell/1/run/209", waitMs: 800, press: "decide-inspect" },
  delete: { query: "?at=120#/cell/1/run/209", waitMs: 800, press: "delete-readings", desk: true },
  "long-work": {
    query: "?at=120#/runs",
    waitMs: 800,
    next: async (page) => {
      await page.getByTestId("rejudge").click();
      await page.locator("textarea[name=reason]").fill("sensor 2 read high");
      await page.locator("input[name=by]").fill("quality");
      await page.evaluate(() => {
        window.record.upkeep.pace = 1;
      });
      await page.getByTestId("ask-send").click();
      await page.waitForTimeout(2500);
    },
    desk: true,
  },
};

/** Brings a page to a scene that its address alone does not give. */
export async function stage(page, scene) {
  if (scene.act !== undefined) await page.evaluate(scene.act, scene.told);
  for (const key of scene.keys ?? []) await page.keyboard.press(key);
  if (scene.after !== undefined) await page.evaluate(scene.after);
  await page.waitForTimeout(scene.waitMs ?? 600);
  if (scene.press !== undefined) {
    // On a panel the decisions stand behind one large button.
    const decide = page.getByTestId("decide");
    if (scene.press.startsWith("decide-") && (await decide.count()) > 0) await decide.click();
    await page.getByTestId(scene.press).click();
    await page.waitForTimeout(400);
  }
  if (scene.next !== undefined) await scene.next(page);
}
