import { expect, test } from "vitest";
import doing from "../browser/doingSuites.mjs?raw";
import feeds from "../browser/feedSuites.mjs?raw";
import fit from "../browser/fitSuites.mjs?raw";
import floor from "../browser/floorSuites.mjs?raw";
import functions from "../browser/functionSuites.mjs?raw";
import links from "../browser/linkSuites.mjs?raw";
import table from "../browser/README.md?raw";
import record from "../browser/recordSuites.mjs?raw";
import run from "../browser/runSuites.mjs?raw";
import states from "../browser/stateSuites.mjs?raw";
import cell from "../browser/suites.mjs?raw";

test("Every_browser_test_that_is_named_as_showing_something_exists", () => {
  const written = [cell, doing, feeds, fit, floor, functions, links, record, run, states].join("\n");
  const there = new Set([...written.matchAll(/async (\w+)\(\{/g)].map(([, name]) => name));
  const named = [...table.matchAll(/\b[A-Z][a-z]*(?:_\w+){2,}\b/g)].map(([name]) => name);
  expect(there.size).toBeGreaterThan(60);
  expect(named.length).toBeGreaterThan(50);
  expect(named.filter((name) => !there.has(name))).toEqual([]);
});
