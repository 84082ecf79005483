// Runs the browser tests in the distribution's Chromium, two at a time, and closes with one line of counts.
// Without a browser: says so; with REQUIRE_BROWSER=1 that is a failure, else a skip.
import { access } from "node:fs/promises";
import axe from "axe-core";
import { Stalled, standing, testDeadlineMs, within } from "./rig/deadline.mjs";
import { createPagePool } from "./rig/pagePool.mjs";
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
const pool = await createPagePool(rig.url);
let passed = 0;
let failed = 0;
const waiting = Object.entries(suites).filter(
  ([name]) => only === undefined || only.some((part) => name.toLowerCase().includes(part)),
);

/** Runs a test once: what it failed of, or nothing. */
async function attempt(test) {
  const opened = new Set();
  const complaints = [];
  /** A page of the application at a scene; anything it writes to the console fails the test. */
  const page = async (query, options) => {
    const one = await pool.open(query, complaints, (back) => opened.delete(back), options);
    opened.add(one);
    return one;
  };
  try {
    await within("the test", testDeadlineMs, test({ page, axe: axe.source }));
    if (complaints.length > 0) throw new Error(`console: ${complaints.slice(0, 3).join(" | ")}`);
  } catch (error) {
    if (error instanceof Stalled) {
      const pages = await Promise.all([...opened].map(standing));
      error.message += pages.map((one) => `\n${one.url}: ${one.says}`).join("");
      error.ours = pages.some((one) => !one.runs);
      for (const one of [...opened]) await pool.giveUp(one);
    }
    return error;
  } finally {
    for (const one of [...opened]) await pool.take(one);
  }
}

async function run(name, test) {
  const started = performance.now();
  let error = await attempt(test);
  if (error instanceof Stalled && !error.ours) {
    console.log(`again ${name}: the browser did not answer\n      ${error.message.replaceAll("\n", "\n      ")}`);
    await pool.renew();
    error = await attempt(test);
  }
  if (error === undefined) {
    passed++;
    console.log(`ok    ${name} (${Math.round(performance.now() - started)} ms)`);
    return;
  }
  failed++;
  const lines = (error instanceof Stalled ? error.message : String(error?.stack ?? error)).split("\n");
  console.log(`FAIL  ${name}\n      ${lines.slice(0, 6).join("\n      ")}`);
}

// Each test has pages of its own while it runs. Two, for a machine of two cores: more would only take time from each other.
await Promise.all(
  [1, 2].map(async () => {
    for (let next = waiting.shift(); next !== undefined; next = waiting.shift()) await run(...next);
  }),
);
await within("the browser's end", 20_000, pool.close()).catch((error) => console.log(error.message));
rig.close();
console.log(`${passed} passed, ${failed} failed, 0 skipped`);
process.exit(failed === 0 ? 0 : 1);
