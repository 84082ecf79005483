// How soon curves are there, in a browser that has none of the pages yet: node tests/service/opening.mjs ADDRESS [rounds]
// One line a figure: name, value, unit, peer's value, ours in terms of the peer's.
import { chromium } from "playwright-core";

const [address, rounds = "7"] = process.argv.slice(2);
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run"],
});
const median = (list) => list.toSorted((a, b) => a - b)[Math.floor(list.length / 2)];
const line = (name, list) =>
  console.log([`${name}, median of ${list.length}`, median(list).toFixed(0), "ms", "-", "-"].join("\t"));

/** Waits in the page until a column of the curves has ink; answers the page's own time then, ms. */
const inked = (run) => {
  const seen = () => {
    const canvas = document.querySelector(".curves.main canvas");
    if (canvas === null || canvas.offsetParent === null) return false;
    if (run !== null && document.querySelector("h1")?.textContent !== `Run ${run}`) return false;
    const { data } = canvas
      .getContext("2d", { willReadFrequently: true })
      .getImageData(Math.floor(canvas.width * 0.2), 0, 2, canvas.height);
    return data.some((value, i) => i % 4 === 3 && value > 200);
  };
  return new Promise((resolve) => {
    const look = () => (seen() ? resolve(performance.now()) : requestAnimationFrame(look));
    look();
  });
};

const first = [];
const pressed = [];
for (let round = 0; round < Number(rounds); round++) {
  // A context of its own has nothing in its cache.
  const context = await browser.newContext({ viewport: { width: 1920, height: 1080 } });
  const page = await context.newPage();
  await page.goto(address, { waitUntil: "commit" });
  first.push(await page.evaluate(inked, null));
  await page.goto(`${address}/#/runs`);
  await page.locator(".run-row .shape-top[d^=M]").first().waitFor();
  const run = Number(
    await page
      .locator(".run-row[data-verdict=pass]")
      .nth(round + 2)
      .getAttribute("data-run"),
  );
  const begun = await page.evaluate((number) => {
    const now = performance.now();
    document.querySelector(`[data-testid=run-${number}]`).click();
    return now;
  }, run);
  pressed.push((await page.evaluate(inked, run)) - begun);
  await context.close();
}
await browser.close();
line("first curve after opening, warm service, empty cache", first);
line("a stored run drawn after a press", pressed);
