// Main-thread time of live curves: ours against uPlot given all points, 16 curves at 10 Hz, rounds interleaved.
// One line a figure: name, value, unit, peer's value, ours in terms of the peer's (more than 1 is better).
import { launch } from "./rig/browser.mjs";
import { serveRig } from "./rig/serve.mjs";

const rounds = Number(process.argv[2] ?? 2);
const rig = await serveRig("benchEntry.ts");
const browser = await launch();
const page = await browser.newPage({ viewport: { width: 1600, height: 700 } });
await page.goto(rig.url);
const median = (list) => list.toSorted((a, b) => a - b)[Math.floor(list.length / 2)];
console.log(
  "# Chromium without a GPU, 1600x600, 16 curves at 10 Hz, 4 s a round; peer: uPlot 1.6.32, defaults, all points, legend and cursor off",
);
for (const points of [3600, 72_000]) {
  const found = { ours: [], plain: [], frames: [] };
  for (let round = 0; round < rounds; round++)
    for (const who of ["ours", "plain"]) {
      const result = await page.evaluate(([name, n]) => window.bench[name](n, 4), [who, points]);
      found[who].push(result.msPerSecond);
      if (who === "ours") found.frames.push(result.framesPerSecond);
    }
  const [ours, plain] = [median(found.ours), median(found.plain)];
  console.log(
    [`dashboard live ${points} points`, ours.toFixed(1), "ms/s", plain.toFixed(1), (plain / ours).toFixed(2)].join(
      "\t",
    ),
  );
  console.log([`dashboard frames ${points} points`, median(found.frames).toFixed(1), "1/s", "-", "-"].join("\t"));
}
await browser.close();
rig.close();
