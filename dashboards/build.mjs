// Bundles the product into the service's static files. Nothing under tests/ is reachable from src/main.ts.
import { copyFile, mkdir, rm } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";
import { bundle, indexPage } from "./bundle.mjs";

const target = fileURLToPath(new URL("../src/ThermoWatch.Service/wwwroot/", import.meta.url));

await rm(target, { recursive: true, force: true });
await mkdir(target, { recursive: true });
await build({ ...bundle, outdir: target });
await copyFile(indexPage, `${target}index.html`);
