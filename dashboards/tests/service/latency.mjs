// How old a reading is when it has been drawn: node latency.mjs URL SECONDS prints the 50th and 99th percentile in ms.
import { chromium } from "playwright-core";

const [url, seconds] = process.argv.slice(2);
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking"],
});
const page = await browser.newPage({ viewport: { width: 1920, height: 1080 } });
await page.addInitScript(() => {
  globalThis.ages = [];
  let last = 0;
  document.addEventListener("thermowatch:frame", ({ detail }) => {
    // The same reading is drawn again when a state comes; its age counts when it is first seen.
    if (detail.seq === last) return;
    last = detail.seq;
    globalThis.ages.push(performance.timeOrigin + performance.now() - detail.t);
  });
});
await page.goto(url);
await page.getByTestId("reading-age").waitFor();
await page.waitForTimeout(3_000);
await page.evaluate(() => {
  globalThis.ages.length = 0;
});
await page.waitForTimeout(Number(seconds) * 1_000);
const ages = (await page.evaluate(() => globalThis.ages)).sort((a, b) => a - b);
console.log(ages[Math.floor(ages.length * 0.5)], ages[Math.floor(ages.length * 0.99)]);
await browser.close();
