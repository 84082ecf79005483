import { readFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const here = fileURLToPath(new URL(".", import.meta.url));

const options = {
  absWorkingDir: here,
  entryPoints: { app: "src/main.ts" },
  bundle: true,
  // What is imported only when it is needed goes into files of its own.
  splitting: true,
  chunkNames: "[name]-[hash]",
  minify: true,
  format: "esm",
  target: "es2022",
  legalComments: "none",
  logLevel: "warning",
  outdir: "/",
  write: false,
  metafile: true,
};

/**
 * Bundles the product: its files by name, and which of them the first page needs. The names stay from one build to the
 * next, as the service's build lists its files before this one has run: `later.js` for what is imported later,
 * `shared1.js` for what several of them need, the largest first.
 */
export async function bundled() {
  const { outputFiles, metafile } = await build(options);
  const nameOf = (path) => path.split("/").at(-1);
  const names = new Map();
  let shared = 0;
  for (const { path } of outputFiles.toSorted((a, b) => b.contents.length - a.contents.length)) {
    const [, name, extension] = /^(.*?)(?:-[A-Z0-9]{8})?(\.\w+)$/.exec(nameOf(path));
    names.set(nameOf(path), `${name === "chunk" ? `shared${++shared}` : name}${extension}`);
  }
  const renamed = (text) => [...names].reduce((done, [from, to]) => done.replaceAll(from, to), text);
  const files = new Map(outputFiles.map((file) => [names.get(nameOf(file.path)), renamed(file.text)]));
  const imports = new Map(
    Object.entries(metafile.outputs).map(([path, output]) => [
      names.get(nameOf(path)),
      output.imports.filter((one) => one.kind === "import-statement").map((one) => names.get(nameOf(one.path))),
    ]),
  );
  const first = new Set(["index.html", "app.css"]);
  const need = (file) => {
    if (first.has(file)) return;
    first.add(file);
    for (const one of imports.get(file)) need(one);
  };
  need("app.js");
  // Asked for at once, not only when the script that imports them has come.
  const early = [...first].filter((name) => name.startsWith("shared"));
  const index = await readFile(`${here}src/index.html`, "utf8");
  files.set(
    "index.html",
    index.replace(
      '    <link rel="stylesheet"',
      `${early.map((name) => `    <link rel="modulepreload" href="${name}" />\n`).join("")}    <link rel="stylesheet"`,
    ),
  );
  return { files, first };
}
