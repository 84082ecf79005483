// Bundles the product into the service's static files. Nothing under tests/ is reachable from src/main.ts.
import { copyFile, mkdir, rm } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const here = fileURLToPath(new URL(".", import.meta.url));
const target = fileURLToPath(new URL("../src/ThermoWatch.Service/wwwroot/", import.meta.url));

await rm(target, { recursive: true, force: true });
await mkdir(target, { recursive: true });
await build({
  absWorkingDir: here,
  entryPoints: { app: "src/main.ts" },
  outdir: target,
  bundle: true,
  minify: true,
  format: "esm",
  target: "es2022",
  legalComments: "none",
  logLevel: "warning",
});
await copyFile(`${here}src/index.html`, `${target}index.html`);
