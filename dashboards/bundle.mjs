import { fileURLToPath } from "node:url";

const here = fileURLToPath(new URL(".", import.meta.url));

/** How the product is bundled, for whoever writes it into files and for whoever weighs it. */
export const bundle = {
  absWorkingDir: here,
  entryPoints: { app: "src/main.ts" },
  bundle: true,
  // What is imported only when it is needed goes into files of its own, under names that stay: the service's build
  // lists its files before this one has run.
  splitting: true,
  chunkNames: "[name]",
  minify: true,
  format: "esm",
  target: "es2022",
  legalComments: "none",
  logLevel: "warning",
};
export const indexPage = `${here}src/index.html`;
