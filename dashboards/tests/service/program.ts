import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const published =
  process.env.THERMOWATCH_PUBLISHED ?? fileURLToPath(new URL("../../../artifacts/service", import.meta.url));

/** The published program with a simulated machine, as a process of its own. */
export interface Demo {
  readonly address: string;
  /** Ends it as a power cut would. */
  kill(): Promise<void>;
  /** Starts it again at the same address, on the same record. */
  startAgain(): Promise<void>;
  /** Ends it as Ctrl-C does, and its record with it. */
  end(): Promise<void>;
}

export async function startDemo(...options: string[]): Promise<Demo> {
  const port = await freePort();
  const data = mkdtempSync(join(tmpdir(), "thermowatch-test-"));
  const launch = (): Promise<ChildProcess> =>
    running([join(published, "thermowatch.dll"), "demo", "--port", String(port), "--data", data, ...options]);
  let process = await launch();
  return {
    address: `http://localhost:${port}`,
    kill: () => ended(process, "SIGKILL"),
    startAgain: async () => {
      process = await launch();
    },
    end: async () => {
      await ended(process, "SIGINT");
      rmSync(data, { recursive: true, force: true });
    },
  };
}

async function running(command: string[]): Promise<ChildProcess> {
  const process = spawn("dotnet", command);
  let output = "";
  const keep = (chunk: Buffer): void => {
    output += chunk.toString();
  };
  process.stdout.on("data", keep);
  process.stderr.on("data", keep);
  await said(process, () => output, "ThermoWatch is at");
  return process;
}

function ended(process: ChildProcess, signal: NodeJS.Signals): Promise<void> {
  if (process.exitCode !== null || process.signalCode !== null) return Promise.resolve();
  return new Promise((resolve) => {
    process.once("exit", () => resolve());
    process.kill(signal);
  });
}

function said(process: ChildProcess, output: () => string, text: string): Promise<void> {
  return new Promise((resolve, reject) => {
    const late = setTimeout(() => reject(new Error(`did not say "${text}" in 60 s:\n${output()}`)), 60_000);
    const look = (): void => {
      if (!output().includes(text)) return;
      clearTimeout(late);
      resolve();
    };
    process.stdout?.on("data", look);
    process.once("exit", (code) => reject(new Error(`ended with ${code} before it said "${text}":\n${output()}`)));
  });
}

function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const server = createServer();
    server.once("error", reject);
    server.listen(0, "127.0.0.1", () => {
      const address = server.address();
      server.close(() =>
        address !== null && typeof address === "object" ? resolve(address.port) : reject(new Error("no port")),
      );
    });
  });
}
