// Builds the test page and serves it on a free loopback port.
import { readFile } from "node:fs/promises";
import { createServer } from "node:http";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const here = fileURLToPath(new URL(".", import.meta.url));
const types = { ".html": "text/html; charset=utf-8", ".js": "text/javascript", ".css": "text/css" };

export async function serveRig(entry = "entry.ts") {
  const result = await build({
    entryPoints: { app: `${here}${entry}` },
    outdir: "/",
    bundle: true,
    write: false,
    format: "esm",
    target: "es2022",
    logLevel: "warning",
  });
  const files = new Map(result.outputFiles.map((file) => [file.path, file.contents]));
  files.set("/index.html", await readFile(`${here}../../../src/index.html`));
  const server = createServer((request, response) => {
    const path = new URL(request.url, "http://x").pathname;
    const name = path === "/" ? "/index.html" : path;
    const body = files.get(name);
    if (body === undefined) return response.writeHead(404).end();
    return response
      .writeHead(200, {
        "content-type": types[name.slice(name.lastIndexOf("."))],
        "cache-control": "max-age=3600",
        // As strict as the service may be: what the page needs is in its own files.
        "content-security-policy": "default-src 'self'; img-src 'self' data:",
      })
      .end(body);
  });
  await new Promise((resolve) => server.listen(0, "127.0.0.1", resolve));
  return { url: `http://127.0.0.1:${server.address().port}/`, close: () => server.close() };
}
