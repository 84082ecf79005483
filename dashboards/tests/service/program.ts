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
  readonly output: () => string;
  end(): Promise<void>;
}

export async function startDemo(...options: string[]): Promise<Demo> {
  const port = await freePort();
  const data = mkdtempSync(join(tmpdir(), "thermowatch-test-"));
  const process = spawn("dotnet", [
    join(published, "thermowatch.dll"),
    "demo",
    "--port",
    String(port),
    "--data",
    data,
    ...options,
  ]);
  let output = "";
  process.stdout.on("data", (chunk: Buffer) => {
    output += chunk.toString();
  });
  process.stderr.on("data", (chunk: Buffer) => {
    output += chunk.toString();
  });
  await said(process, () => output, "ThermoWatch is at");
  return {
    address: `http://localhost:${port}`,
    output: () => output,
    end: async () => {
      process.kill("SIGINT");
      await new Promise((resolve) => process.once("exit", resolve));
      rmSync(data, { recursive: true, force: true });
    },
  };
}

function said(process: ChildProcess, output: () => string, text: string): Promise<void> {
  return new Promise((resolve, reject) => {
    const late = setTimeout(() => reject(new Error(`did not say "${text}" in 30 s:\n${output()}`)), 30_000);
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
