import { type ChildProcess, spawn } from "node:child_process";
import { mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { transformSync } from "esbuild";
import { afterAll, afterEach, beforeAll, describe, expect, test } from "vitest";
import { type Demo, startDemo } from "./program";

const root = fileURLToPath(new URL("../../..", import.meta.url));
/** Beside the packages that the examples import. */
const folder = fileURLToPath(new URL("../../node_modules/.examples", import.meta.url));
const documented = "http://localhost:5170";

/** The examples of a document, as they stand there. */
function examplesOf(document: string): readonly string[] {
  const text = readFileSync(join(root, document), "utf8");
  return [...text.matchAll(/^```(?:js|ts)\n(.*?)^```/gms)].map((match) => match[1]);
}

let demo: Demo;
let running: ChildProcess | null = null;
beforeAll(async () => {
  mkdirSync(folder, { recursive: true });
  demo = await startDemo("--start-at", "20");
});
afterEach(() => running?.kill());
afterAll(async () => {
  await demo.end();
  rmSync(folder, { recursive: true, force: true });
});

/** Runs an example until it ends by itself, or has written so many lines. */
function run(code: string, lines: number): Promise<string> {
  expect(code, "the example names the address that the document gives").toContain(documented);
  const file = join(folder, "example.mjs");
  writeFileSync(file, transformSync(code.replaceAll(documented, demo.address), { loader: "ts" }).code);
  return new Promise((resolve, reject) => {
    const process = spawn("node", [file]);
    running = process;
    let output = "";
    let errors = "";
    const late = setTimeout(() => reject(new Error(`not ${lines} lines in 30 s:\n${output}\n${errors}`)), 30_000);
    process.stdout.on("data", (chunk: Buffer) => {
      output += chunk.toString();
      if (output.split("\n").length <= lines) return;
      clearTimeout(late);
      resolve(output);
    });
    process.stderr.on("data", (chunk: Buffer) => {
      errors += chunk.toString();
    });
    process.once("exit", (code) => {
      clearTimeout(late);
      if (code === 0) resolve(output);
      else reject(new Error(`ended with ${code}:\n${output}\n${errors}`));
    });
  });
}

describe("examples of the documents, run as they stand", () => {
  const [hub, failed] = examplesOf("src/ThermoWatch.Service/README.md");
  const [feeds] = examplesOf("src/ThermoWatch.Feeds/README.md");

  test("a program that looks on writes readings", async () => {
    const output = await run(hub, 12);
    const scans = output.split("\n").filter((line) => /^\d{4}-/.test(line));
    expect(scans.length).toBeGreaterThan(5);
    for (const line of scans.slice(0, 5)) expect(line).toMatch(/^\S+Z tc1 \d+\.\d, tc2 \d+\.\d/);
  });

  test("runs that failed are those that the record has, page by page", async () => {
    const output = await run(failed, 1000);
    let expected: number[] = [];
    for (let next: string | null = ""; next !== null; ) {
      const answer = await fetch(`${demo.address}/api/v1/cells/1/runs?limit=5${next}`);
      const page = (await answer.json()) as { runs: { number: number; verdict: string }[]; next: number | null };
      expected = [...expected, ...page.runs.filter((one) => one.verdict === "fail").map((one) => one.number)];
      next = page.next === null ? null : `&before=${page.next}`;
    }
    expect([...output.matchAll(/^run (\d+): \S/gm)].map((match) => Number(match[1]))).toEqual(expected);
  });

  test("feeds are listed, and a service without any lists none", async () => {
    expect(await run(feeds, 1000)).toBe("");
  });
});
