// Bundles the product into the service's static files. Nothing under tests/ is reachable from src/main.ts.
import { mkdir, rm, writeFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { bundled } from "./bundle.mjs";

const target = fileURLToPath(new URL("../src/ThermoWatch.Service/wwwroot/", import.meta.url));

const { files } = await bundled();
await rm(target, { recursive: true, force: true });
await mkdir(target, { recursive: true });
for (const [name, text] of files) await writeFile(`${target}${name}`, text);
