import { readFile } from "node:fs/promises";
import { brotliCompressSync, constants } from "node:zlib";
import { build } from "esbuild";
import { bundle, indexPage } from "./bundle.mjs";

const packed = (bytes) => brotliCompressSync(bytes, { params: { [constants.BROTLI_PARAM_QUALITY]: 11 } }).length;

/**
 * What a browser fetches, in bytes packed as the service sends them (brotli, smallest): for the first page, and for all
 * of them. One bundle holds every page, so the two differ only by what is split off from it.
 */
export async function weigh() {
  const { outputFiles, metafile } = await build({ ...bundle, outdir: "/", write: false, metafile: true });
  const later = new Set(
    Object.entries(metafile.outputs)
      .filter(([, output]) => output.entryPoint === undefined && !output.imports.some(({ kind }) => kind === "css"))
      .map(([path]) => path.split("/").at(-1)),
  );
  let all = packed(await readFile(indexPage));
  let first = all;
  for (const file of outputFiles) {
    const size = packed(file.contents);
    all += size;
    const name = file.path.split("/").at(-1);
    if (name.endsWith(".css") || !later.has(name)) first += size;
  }
  return { first, all };
}
