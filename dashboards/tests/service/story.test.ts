import { type Browser, chromium, type Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, test } from "vitest";
import { flags, picture } from "./browser";
import { type Demo, startDemo } from "./program";

let browser: Browser;
let demo: Demo | undefined;
let page: Page;
let complaints: string[];

beforeAll(async () => {
  browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: flags });
});
afterAll(() => browser.close());
afterEach(async () => {
  const seen = complaints;
  await page?.context().close();
  await demo?.end();
  demo = undefined;
  expect(seen, "the browser's console stays empty").toEqual([]);
});

/** Opens the week at one of its runs: those before it lie in the record. */
async function openAtRun(run: number, ...options: string[]): Promise<void> {
  complaints = [];
  demo = await startDemo("--scenario", "bad-week", "--history", String(run - 1), ...options);
  const context = await browser.newContext({ viewport: { width: 1600, height: 900 }, locale: "en-GB" });
  page = await context.newPage();
  page.on("console", (message) => {
    if (message.type() === "error" || message.type() === "warning") complaints.push(message.text());
  });
  page.on("pageerror", (error) => complaints.push(String(error)));
  await page.goto(demo.address);
}

const all = async (): Promise<string> => (await page.getByTestId("prompts").first().textContent()) ?? "";
const sentence = async (): Promise<string> => (await page.getByTestId("sentence").first().textContent()) ?? "";
const heading = async (): Promise<string> => (await page.locator("header").first().textContent()) ?? "";
const numberOf = async (id: string): Promise<number> => {
  const [text] = await page.getByTestId(id).allTextContents();
  return Number(text?.match(/^-?[\d.]+/)?.[0]);
};
const value = (channel: string): Promise<number> => numberOf(`value-${channel}`);
const figure = (name: string): Promise<number> => numberOf(`figure-value-${name}`);
const told = { timeout: 60_000, interval: 500 };

interface Step {
  readonly condition: string;
  readonly state: string;
  readonly run: number | null;
}

describe("the demo's bad week, as the page tells it", () => {
  test("Monday: the pump is slow and the hold long, so time above liquidus runs out", async () => {
    // No faster than this: on a busy computer the instrument's time-outs, which scale too, would make gaps.
    await openAtRun(25, "--start-at", "200", "--speed", "2");
    await expect.poll(() => figure("timeAboveLiquidus"), { timeout: 150_000 }).toBeGreaterThan(90);
    // What to do about a limit that is broken now comes first and large.
    await expect.poll(all, { timeout: 30_000 }).toMatch(/hold the boards/);
    expect(await figure("pumpDownTime")).toBeGreaterThan(18);
    await expect.poll(() => figure("vacuumHold"), { timeout: 60_000 }).toBeGreaterThan(38);
    expect(await figure("peakTemperature")).toBeLessThan(231);
    await picture(page, "week-1-monday");
  });

  test("Tuesday: a tape lifts in the vapour, and one joint reads low among its neighbours", async () => {
    await openAtRun(31, "--start-at", "120", "--speed", "2");
    await page.getByTestId("value-tc6").first().waitFor({ timeout: 30_000 });
    // Before it lifts, bus bar and edge of board 3 are heated alike; in the vapour they part.
    await expect
      .poll(async () => ((await value("tc5")) > 224 ? (await value("tc5")) - (await value("tc6")) : 0), {
        timeout: 120_000,
        interval: 500,
      })
      .toBeGreaterThan(7);
    expect(await value("tc6")).toBeGreaterThan(190);
    expect(Math.abs((await value("tc5")) - (await value("tc7")))).toBeLessThan(4);
    await picture(page, "week-2-tuesday-tape");
  });

  test("Tuesday: a seal leaks, and a production run stays above its target, with no sensor on any board", async () => {
    await openAtRun(34, "--start-at", "222", "--speed", "2");
    await expect.poll(() => figure("pumpDownTime"), told).toBeGreaterThan(20);
    // The figure says it first, the alarm with the next look at it.
    await expect.poll(all, told).toMatch(/Pump-down slower than allowed/);
    expect(await page.getByTestId("value-tc1").count()).toBe(0);
    expect(await value("vapour")).toBeGreaterThan(200);
    await expect.poll(all, told).toMatch(/Vacuum target not reached/);
    await picture(page, "week-2-tuesday-leak");
  });

  test("Wednesday: another product is judged by its own spec, and nobody is accused of a wrong recipe", async () => {
    await openAtRun(36, "--start-at", "200", "--speed", "2");
    await expect.poll(heading, told).toMatch(/Gate driver board/);
    await expect.poll(() => page.getByTestId("figure-pumpDownTime").first().textContent(), told).toMatch(/to 10\smbar/);
    await expect.poll(() => figure("vacuumHold"), told).toBeGreaterThan(5);
    expect(await all()).not.toMatch(/recipe/i);
    await picture(page, "week-3-wednesday-gate-drivers");
  });

  test("Wednesday: recipe 14 for a traction board is told within seconds of its start", async () => {
    await openAtRun(38, "--start-at", "12");
    await expect.poll(all, told).toMatch(/Recipe 14 is running, the product asks for 12/);
    expect(await heading()).toMatch(/Traction board/);
    expect(await page.locator("body").textContent()).toMatch(/No board is measured in this run/);
    await picture(page, "week-3-wednesday-recipe");
  });

  test("Thursday: the plateau is low on every channel alike, and no sensor is accused", async () => {
    await openAtRun(41, "--start-at", "195", "--speed", "2");
    await expect.poll(() => value("vapour"), told).toBeGreaterThan(224);
    const joints = await Promise.all(["tc1", "tc3", "tc5", "tc7"].map(value));
    for (const one of [...joints, await value("vapour")]) expect(one).toBeLessThan(228.5);
    await expect.poll(all, told).toMatch(/vapour/i);
    expect(await all()).not.toMatch(/sensor/i);
    await picture(page, "week-4-thursday");
  });

  test("Friday: an element sticks over board 2, and its peak limit is broken", async () => {
    await openAtRun(42, "--start-at", "184");
    // What to do comes first and large, and why beside it.
    await expect.poll(all, told).toMatch(/Board 2 edge reads 2\d\d/);
    expect(await sentence()).toMatch(/^Keep the chamber closed/);
    expect(await value("tc3")).toBeGreaterThan(235);
    expect(await value("tc7")).toBeLessThan(232);
    await picture(page, "week-5-friday-element");
  });

  test("Friday: a wire breaks in the soak, and that input alone has no value", async () => {
    await openAtRun(43, "--start-at", "112");
    await page.getByTestId("value-tc4").first().waitFor({ timeout: 30_000 });
    await expect.poll(() => page.locator("header").first().textContent(), told).toMatch(/14 of 15 good/);
    expect(await value("tc3")).toBeGreaterThan(140);
    await picture(page, "week-5-friday-wire");
  });

  test("Friday: the amplifier falls silent in the hold, and the page says so and bridges nothing", async () => {
    await openAtRun(44, "--start-at", "218");
    await expect.poll(all, told).toMatch(/No data from Thermocouple amplifier/);
    await picture(page, "week-5-friday-silent");
    // It comes back, and what nobody has seen is hatched.
    await page.getByTestId("hatch").first().waitFor({ state: "attached", timeout: 60_000 });
    await picture(page, "week-5-friday-back");
  });

  test("the whole week lies in the record: each day's runs, their alarms, and who is accused of what", async () => {
    await openAtRun(45, "--start-at", "30");
    const api = `${demo?.address}/api/v1/cells/1`;
    const { steps } = (await (await fetch(`${api}/alarms/history?limit=1000`)).json()) as { steps: Step[] };
    const accused = (condition: string): (number | null)[] => [
      ...new Set(
        steps.filter((one) => one.condition === condition && one.state === "unacknowledged").map((one) => one.run),
      ),
    ];
    expect(accused("wrongRecipe")).toEqual([38]);
    expect(accused("timeAboveLiquidus")).toContain(25);
    expect(accused("coldAtEvacuation")).toEqual([]); // the tape that lifts accuses no joint
    expect(accused("basePressure").sort()).toEqual([34, 35]);
    expect(accused("plateauOff")).toEqual([null]); // once in the week, and of three runs
    expect(accused("tooHot")).toEqual([42]);
    // The week before, and the runs that are told as they should be, call nobody.
    const quiet = new Set([...Array.from({ length: 24 }, (_, i) => i + 1), 26, 27, 28, 29, 30, 36, 37]);
    expect(steps.filter((one) => one.run !== null && quiet.has(one.run) && one.state === "unacknowledged")).toEqual([]);

    await page.goto(`${demo?.address}/#/runs`);
    await expect.poll(() => page.locator(".run-row").count(), { timeout: 20_000 }).toBeGreaterThan(20);
    await picture(page, "week-runs");
    await page.goto(`${demo?.address}/#/alarms`);
    await expect.poll(() => page.locator("body").textContent(), { timeout: 20_000 }).toMatch(/recipe/i);
    const often = (await page.getByTestId("frequent").allTextContents()).join(" | ");
    expect(often).toMatch(/Limit broken/);
    expect(often).not.toMatch(/sustainedPeak|liquidusSpread/);
    await picture(page, "week-alarms");

    const days: readonly (readonly [number, RegExp])[] = [
      [25, /^Fail/],
      [26, /^Pass/],
      [27, /No board temperature was measured|released/i],
      [31, /^(Undetermined|Fail)/], // a sensor that is off its joint lets nothing pass
      [35, /No board temperature was measured|released/i],
      [36, /^Pass/],
      [38, /No board temperature was measured|released/i],
      [41, /^(Pass|Fail)/],
      [42, /^Fail/],
      [43, /^Undetermined/], // a broken wire accuses no board
      [44, /^(Undetermined|Pass|Fail)/],
    ];
    for (const [run, verdict] of days) {
      await page.goto(`${demo?.address}/#/cell/1/run/${run}`);
      await expect.poll(() => page.locator("h1").textContent(), { timeout: 20_000 }).toBe(`Run ${run}`);
      await expect.poll(sentence, { timeout: 20_000, message: `run ${run}` }).toMatch(verdict);
      // What stands under the curves keeps to its own column.
      const beyond = await page
        .locator(".phases")
        .first()
        .evaluate((panel) => {
          const right = Math.max(...[...panel.children].map((child) => child.getBoundingClientRect().right));
          return right - panel.getBoundingClientRect().right;
        });
      expect(beyond, `run ${run}`).toBeLessThanOrEqual(1);
      if (run === 38) {
        // Nothing was measured but the chamber, which was not evacuated: the page says so, and which recipe ran.
        await page.getByTestId("no-phases").waitFor({ timeout: 5_000 });
        await page.getByTestId("no-figures").waitFor({ timeout: 5_000 });
        expect(await page.getByTestId("record").textContent()).toMatch(/14, as the machine says/);
      }
      await picture(page, `week-run-${run}`);
    }
  });
});
