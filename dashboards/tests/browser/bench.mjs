// Main-thread time of live curves: ours against a chart library and a bare canvas that are given all points, 16 curves
// at 10 Hz, rounds interleaved. Beside it how heavy the pages are.
// One line a figure: name, value, unit, peer's value, ours in terms of the peer's (more than 1 is better).
import { weigh } from "../../weigh.mjs";
import { launch } from "./rig/browser.mjs";
import { serveRig } from "./rig/serve.mjs";

const rounds = Number(process.argv[2] ?? 2);
const seconds = 4;
const rig = await serveRig("benchEntry.ts");
const browser = await launch();
const page = await browser.newPage({ viewport: { width: 1600, height: 700 } });
const devtools = await page.context().newCDPSession(page);
await devtools.send("Performance.enable");
/** Seconds in which the page's main thread had anything to do: script, layout, painting. */
await page.exposeFunction(
  "busyNow",
  async () => (await devtools.send("Performance.getMetrics")).metrics.find((one) => one.name === "TaskDuration").value,
);
await page.goto(rig.url);
const median = (list) => list.toSorted((a, b) => a - b)[Math.floor(list.length / 2)];
const line = (...parts) => console.log(parts.join("\t"));
console.log(
  `# Chromium without a GPU, 1600x600, 16 curves at 10 Hz, ${seconds} s a round; peers: uPlot 1.6.32, defaults, all points, legend and cursor off; a canvas that strokes all points`,
);
for (const points of [3600, 72_000]) {
  const script = { ours: [], plain: [], bare: [] };
  const thread = { ours: [], plain: [], bare: [] };
  const frames = [];
  for (let round = 0; round < rounds; round++)
    for (const who of ["ours", "plain", "bare"]) {
      const result = await page.evaluate(([name, n, s]) => window.bench[name](n, s), [who, points, seconds]);
      script[who].push(result.msPerSecond);
      thread[who].push(result.threadShare * 1000);
      if (who === "ours") frames.push(result.framesPerSecond);
    }
  for (const [what, found] of [
    ["script", script],
    ["main thread", thread],
  ])
    for (const [name, peer] of [
      ["chart library", "plain"],
      ["bare canvas", "bare"],
    ]) {
      const [a, b] = [median(found.ours), median(found[peer])];
      line(
        `dashboard live ${points} points, ${what}, beside ${name}`,
        a.toFixed(1),
        "ms/s",
        b.toFixed(1),
        (b / a).toFixed(2),
      );
    }
  line(`dashboard frames ${points} points`, median(frames).toFixed(1), "1/s", "-", "-");
}
await browser.close();
rig.close();
const { first, all } = await weigh();
line("first page, brotli", (first / 1000).toFixed(1), "kB", "-", "-");
line("all pages, brotli", (all / 1000).toFixed(1), "kB", "-", "-");
