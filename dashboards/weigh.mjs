import { brotliCompressSync, constants } from "node:zlib";
import { bundled } from "./bundle.mjs";

const packed = (text) => brotliCompressSync(text, { params: { [constants.BROTLI_PARAM_QUALITY]: 11 } }).length;

/**
 * What a browser fetches, in bytes packed as the service sends them (brotli, smallest): for the first page, and for all
 * of them. The first page needs what its script imports at once; what is imported later is not part of it.
 */
export async function weigh() {
  const { files, first } = await bundled();
  const sizes = [...files].map(([name, text]) => ({ name, size: packed(text) }));
  const sum = (some) => some.reduce((all, { size }) => all + size, 0);
  return { first: sum(sizes.filter(({ name }) => first.has(name))), all: sum(sizes) };
}
