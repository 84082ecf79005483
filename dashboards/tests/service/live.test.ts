import { type Browser, chromium, type Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { desk, flags, picture } from "./browser";
import { type Demo, startDemo } from "./program";

let browser: Browser;
let demo: Demo;
let page: Page;
let complaints: string[];

beforeAll(async () => {
  browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: flags });
});
afterAll(() => browser.close());
beforeEach(() => {
  complaints = [];
});
afterEach(async () => {
  const seen = complaints;
  await page?.context().close();
  await demo?.end();
  expect(seen, "the browser's console stays empty").toEqual([]);
});

async function open(): Promise<void> {
  const context = await browser.newContext({ viewport: desk });
  page = await context.newPage();
  page.on("console", (message) => {
    // The tests themselves read the canvases' pixels, and Chromium has advice on that.
    const ours = /willReadFrequently/.test(message.text());
    if (!ours && (message.type() === "error" || message.type() === "warning")) complaints.push(message.text());
  });
  page.on("pageerror", (error) => complaints.push(String(error)));
  await page.goto(demo.address);
}

const text = async (id: string): Promise<string> => (await page.getByTestId(id).first().textContent()) ?? "";
const number = async (id: string): Promise<number> => Number((await text(id)).replace("−", "-").match(/-?[\d.]+/)?.[0]);
/** Seconds of the run that stand at the line of now. */
const now = async (): Promise<number> => {
  const [, minutes, seconds] = (await page.getByTestId("now").allTextContents())[0]?.match(/(\d+):(\d\d)/) ?? [];
  return 60 * Number(minutes) + Number(seconds);
};
/** Waits until the run in progress is on the page: names and axes stand there before anything is known of it. */
const runs = (): Promise<void> => expect.poll(now, { timeout: 20_000 }).toBeGreaterThan(0);
/** Pixels of the curves' canvas that carry ink. */
const ink = (): Promise<number> =>
  page.evaluate(() => {
    let count = 0;
    for (const canvas of document.querySelectorAll("canvas")) {
      const { data } = canvas.getContext("2d")?.getImageData(0, 0, canvas.width, canvas.height) ?? { data: [] };
      for (let i = 3; i < data.length; i += 4) if ((data[i] ?? 0) > 200) count++;
    }
    return count;
  });

describe("the delivered program, its demo, and a real browser", () => {
  test("the run in progress is there at once, and its curve grows", async () => {
    // Early in the ramp: the boards go on getting hotter for a minute, however busy this computer is.
    demo = await startDemo("--start-at", "20");
    await open();
    await runs();
    expect(await page.title()).toMatch(/demo/i);
    const inkBefore = await ink();
    const nowBefore = await now();
    const hottestBefore = await number("value-tc1");
    expect(nowBefore).toBeGreaterThan(5);
    await expect.poll(now, { timeout: 30_000 }).toBeGreaterThan(nowBefore + 5);
    await expect.poll(() => number("value-tc1"), { timeout: 30_000 }).toBeGreaterThan(hottestBefore + 3);
    expect(await ink()).toBeGreaterThan(inkBefore + 100);
    expect(complaints).toEqual([]);
  });

  test("the prompt says so when a board gets hotter than the spec allows, until somebody has seen it", async () => {
    demo = await startDemo("--speed", "6", "--scenario", "overshoot", "--start-at", "175");
    await open();
    await page.locator('[data-testid="prompt"][data-tone="act"]').waitFor({ timeout: 60_000 });
    expect(await text("sentence")).toMatch(/keep the chamber closed/i);
    await page.getByTestId("value-tc1").first().waitFor({ timeout: 10_000 });
    await page.waitForTimeout(500);
    await picture(page, "overshoot");
    // The vapour and the spec's limit are passed one after the other: each is an alarm that somebody has to see.
    const unseen = page.getByTestId("acknowledge");
    const see = async (): Promise<number> => {
      if ((await unseen.count()) > 0) await unseen.first().click();
      return unseen.count();
    };
    await expect.poll(see, { timeout: 10_000 }).toBe(0);
    expect(complaints).toEqual([]);
  });

  test("a run is drawn to its end, with every figure of the spec in its bar", async () => {
    demo = await startDemo("--speed", "8", "--start-at", "230");
    await open();
    await page.getByTestId("figure-pumpDownTime").waitFor({ timeout: 30_000 });
    await expect.poll(() => text("figure-value-pumpDownTime"), { timeout: 60_000 }).toMatch(/^\d+(\.\d)?$/);
    await picture(page, "cell", true);
    const pumpDown = await number("figure-value-pumpDownTime");
    expect(pumpDown).toBeGreaterThan(5);
    expect(pumpDown).toBeLessThan(25);
    await expect.poll(() => text("sentence"), { timeout: 90_000 }).toMatch(/pass/i);
    await picture(page, "ended");
  });

  test("a service that was killed is missed at once, and the hole is filled when it is back", async () => {
    demo = await startDemo("--start-at", "60");
    await open();
    await runs();
    await demo.kill();
    await page.getByTestId("torn").first().waitFor({ state: "attached", timeout: 10_000 });
    await picture(page, "cut-off");
    const inkBefore = await ink();
    await demo.startAgain();
    await page.getByTestId("torn").first().waitFor({ state: "detached", timeout: 60_000 });
    await expect.poll(() => text("reading-age"), { timeout: 30_000 }).toMatch(/readings \d\.\d\ss old/);
    await expect.poll(ink, { timeout: 10_000 }).toBeGreaterThan(inkBefore * 0.8);
    // A browser writes a refused connection to its console by itself; the page has nothing to add.
    complaints = complaints.filter((c) => !/ERR_CONNECTION_REFUSED|ERR_CONNECTION_RESET|WebSocket connection/.test(c));
  });
});
