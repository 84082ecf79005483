import { type ChildProcess, spawn } from "node:child_process";
import { fileURLToPath } from "node:url";
import { afterEach, describe, expect, test } from "vitest";
import { type Demo, startDemo } from "./program";

interface Said {
  readonly scan?: number;
  readonly t?: number;
  readonly bytes?: string;
  readonly values?: readonly { readonly id: string; readonly value: number; readonly quality: number }[];
  readonly alarm?: string;
  readonly state?: string | number;
  readonly what?: string;
  readonly action?: string;
  readonly ended?: number;
  readonly verdict?: string;
  readonly channels?: readonly string[];
  readonly refilled?: number;
  readonly refusal?: string;
}

/** An outside program at work, and what it has said so far. */
class Outside {
  readonly said: Said[] = [];
  errors = "";
  private readonly process: ChildProcess;
  private rest = "";

  constructor(address: string, ...options: string[]) {
    const script = fileURLToPath(new URL("outside.mjs", import.meta.url));
    this.process = spawn("node", [script, address, ...options]);
    this.process.stdout?.on("data", (chunk: Buffer) => {
      const lines = (this.rest + chunk.toString()).split("\n");
      this.rest = lines.pop() ?? "";
      for (const line of lines) this.said.push(JSON.parse(line) as Said);
    });
    this.process.stderr?.on("data", (chunk: Buffer) => {
      this.errors += chunk.toString();
    });
  }

  end(): void {
    this.process.kill("SIGTERM");
  }
}

let demo: Demo;
let clients: Outside[] = [];
afterEach(async () => {
  for (const client of clients) client.end();
  clients = [];
  await demo?.end();
});

describe("outside programs on the hub of the delivered program", () => {
  test("see scans, an alarm from its first to its last state, and the end of a run, in JSON and in MessagePack alike", async () => {
    demo = await startDemo("--speed", "4", "--scenario", "overshoot", "--start-at", "175");
    const json = new Outside(demo.address, "json");
    const packed = new Outside(demo.address, "msgpack", "acknowledge");
    clients = [json, packed];
    for (const client of clients) {
      await expect
        .poll(() => client.said.filter((one) => one.ended !== undefined).length, { timeout: 120_000 })
        .toBeGreaterThan(0);
      expect(client.errors).toBe("");
    }

    for (const client of clients) {
      const scans = client.said.filter((one) => one.scan !== undefined);
      expect(scans.length).toBeGreaterThan(100);
      for (const [before, after] of scans.slice(1).map((scan, i) => [scans[i], scan] as const)) {
        expect(after.scan).toBeGreaterThan(before.scan ?? 0);
        expect(after.t).toBeGreaterThan(before.t ?? 0);
      }
      const channels = client.said.find((one) => one.channels !== undefined)?.channels;
      expect(scans[0].values?.map((value) => value.id)).toEqual(channels);
      // Boards in the vapour of a demo that is too hot: degrees Celsius of a soldering, and good.
      const boards = scans.flatMap((scan) =>
        (scan.values ?? []).filter((value) => /^tc\d+$/.test(value.id) && value.quality === 0),
      );
      expect(boards.length).toBeGreaterThan(500);
      expect(Math.max(...boards.map((board) => board.value))).toBeGreaterThan(235);
      expect(Math.min(...boards.map((board) => board.value))).toBeGreaterThan(15);
      expect(client.said.find((one) => one.refilled !== undefined)?.refilled).toBeGreaterThan(0);
      expect(client.said.find((one) => one.refusal !== undefined)?.refusal).toMatch(
        /There is no cell 4711 here\. Cells: 1\./,
      );
      const hot = client.said.filter((one) => one.alarm?.startsWith("tooHot/") === true);
      expect(hot[0]).toMatchObject({
        state: "unacknowledged",
        // Above its limit, or above what the vapour can make it: whichever came first.
        what: expect.stringMatching(/^Board \d \w+ has reached 2\d\d(\.\d+)?\s°C[,;]/),
        action: expect.stringMatching(/Keep the chamber closed/),
      });
      expect(
        hot.some((one) => one.alarm === hot[0].alarm && one.state !== "unacknowledged"),
        "it was acknowledged",
      ).toBe(true);
    }

    // The same frames, whatever they travelled in.
    const frames = new Map(json.said.filter((one) => one.scan !== undefined).map((one) => [one.scan, one]));
    const both = packed.said.filter((one) => one.scan !== undefined && frames.has(one.scan));
    expect(both.length).toBeGreaterThan(100);
    for (const frame of both)
      expect([frame.t, frame.bytes]).toEqual([frames.get(frame.scan)?.t, frames.get(frame.scan)?.bytes]);

    // The verdict that was told is the one that is recorded.
    const end = packed.said.find((one) => one.ended !== undefined);
    expect(end?.verdict).toBe("fail");
    await expect
      .poll(
        async () => {
          const answer = await fetch(`${demo.address}/api/v1/cells/1/runs/${end?.ended}`);
          return answer.ok ? ((await answer.json()) as { run: { verdict: string } }).run.verdict : null;
        },
        { timeout: 10_000 },
      )
      .toBe("fail");
  });
});
