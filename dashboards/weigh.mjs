import { readFile } from "node:fs/promises";
import { brotliCompressSync, constants } from "node:zlib";
import { build } from "esbuild";
import { bundle, indexPage } from "./bundle.mjs";

const packed = (bytes) => brotliCompressSync(bytes, { params: { [constants.BROTLI_PARAM_QUALITY]: 11 } }).length;

/**
 * What a browser fetches, in bytes packed as the service sends them (brotli, smallest): for the first page, and for all
 * of them. The first page needs what its script imports at once; what is imported later is not part of it.
 */
export async function weigh() {
  const { outputFiles, metafile } = await build({ ...bundle, outdir: "/", write: false, metafile: true });
  const name = (path) => path.split("/").at(-1);
  const outputs = new Map(Object.entries(metafile.outputs).map(([path, output]) => [name(path), output]));
  const needed = new Set(["app.css"]);
  const need = (file) => {
    if (needed.has(file)) return;
    needed.add(file);
    for (const one of outputs.get(file).imports) if (one.kind === "import-statement") need(name(one.path));
  };
  need("app.js");
  let all = packed(await readFile(indexPage));
  let first = all;
  for (const file of outputFiles) {
    const size = packed(file.contents);
    all += size;
    if (needed.has(name(file.path))) first += size;
  }
  return { first, all };
}
