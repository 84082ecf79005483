// Runs the browser tests in the distribution's Chromium, two at a time, and closes with one line of counts.
// Without a browser: says so; with REQUIRE_BROWSER=1 that is a failure, else a skip.
import { access } from "node:fs/promises";
import axe from "axe-core";
import { launch, sizes } from "./rig/browser.mjs";
import { serveRig } from "./rig/serve.mjs";
import { suites } from "./suites.mjs";

// Names of tests, or parts of them, with commas between.
const only = process.argv[2]?.toLowerCase().split(",");
const path = process.env.CHROMIUM ?? "/usr/bin/chromium";
const found = await access(path).then(
  () => true,
  () => false,
);
if (!found) {
  console.log(`no browser at ${path}: browser tests of the dashboard are skipped`);
  console.log(`0 passed, ${process.env.REQUIRE_BROWSER ? 1 : 0} failed, 1 skipped`);
  process.exit(process.env.REQUIRE_BROWSER ? 1 : 0);
}

const rig = await serveRig();
const browser = await launch();
let passed = 0;
let failed = 0;
const waiting = Object.entries(suites).filter(
  ([name]) => only === undefined || only.some((part) => name.toLowerCase().includes(part)),
);

async function run(name, test) {
  const contexts = [];
  const complaints = [];
  /** A page of the application at a scene; anything it writes to the console fails the test. */
  const page = async (
    query,
    { place = "desk", scheme = "light", contrast = "no-preference", size = sizes[place] } = {},
  ) => {
    const context = await browser.newContext({
      viewport: size,
      colorScheme: scheme,
      contrast,
      hasTouch: place !== "desk",
    });
    contexts.push(context);
    const opened = await context.newPage();
    opened.setDefaultTimeout(15_000);
    opened.on("console", (message) => {
      // The tests themselves read the canvases' pixels.
      if (!message.text().includes("willReadFrequently")) complaints.push(`${message.type()}: ${message.text()}`);
    });
    opened.on("pageerror", (error) => complaints.push(`error: ${error.message}`));
    await opened.goto(`${rig.url}${query}`);
    await opened.getByTestId("clock").waitFor();
    return opened;
  };
  const started = performance.now();
  try {
    await test({ page, axe: axe.source });
    if (complaints.length > 0) throw new Error(`console: ${complaints.slice(0, 3).join(" | ")}`);
    passed++;
    console.log(`ok    ${name} (${Math.round(performance.now() - started)} ms)`);
  } catch (error) {
    failed++;
    console.log(
      `FAIL  ${name}\n      ${String(error?.stack ?? error)
        .split("\n")
        .slice(0, 6)
        .join("\n      ")}`,
    );
  }
  for (const context of contexts) await context.close();
}

// Each test has pages of its own. Two, for a machine of two cores: more would only take time from each other.
await Promise.all(
  [1, 2].map(async () => {
    for (let next = waiting.shift(); next !== undefined; next = waiting.shift()) await run(...next);
  }),
);
await browser.close();
rig.close();
console.log(`${passed} passed, ${failed} failed, 0 skipped`);
process.exit(failed === 0 ? 0 : 1);
