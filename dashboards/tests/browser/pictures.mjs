// Takes a picture of every scene, at every size and in light and dark, to look at:
// node tests/browser/pictures.mjs FOLDER [scene] [place] [scheme]
import { mkdir } from "node:fs/promises";
import { launch, sizes } from "./rig/browser.mjs";
import { scenes, stage } from "./rig/scenes.mjs";
import { serveRig } from "./rig/serve.mjs";

const [folder, wanted = "", onlyPlace = "", onlyScheme = ""] = process.argv.slice(2);
if (folder === undefined) {
  console.error("Name a folder for the pictures: node tests/browser/pictures.mjs FOLDER [scene] [place] [scheme]");
  process.exit(2);
}
await mkdir(folder, { recursive: true });
const rig = await serveRig();
const browser = await launch();
for (const [name, scene] of Object.entries(scenes)) {
  if (!wanted.split(",").some((part) => name.startsWith(part))) continue;
  for (const place of scene.wall ? ["wall"] : scene.desk ? ["desk"] : ["desk", "touch", "phone"])
    for (const scheme of ["light", "dark", "contrast"]) {
      if (onlyPlace !== "" && !onlyPlace.split(",").includes(place)) continue;
      if (onlyScheme === "" ? scheme === "contrast" : !onlyScheme.split(",").includes(scheme)) continue;
      const context = await browser.newContext({
        viewport: sizes[place],
        colorScheme: scheme === "dark" ? "dark" : "light",
        contrast: scheme === "contrast" ? "more" : "no-preference",
        hasTouch: place === "touch" || place === "phone",
        locale: "en-GB",
      });
      const page = await context.newPage();
      page.on("pageerror", (error) => console.log(`${name}: ${error.message}`));
      try {
        await page.goto(`${rig.url}${scene.query}`);
        await page.getByTestId("clock").waitFor();
        await stage(page, scene);
        await page.screenshot({ path: `${folder}/${name}-${place}-${scheme}.png` });
      } catch (error) {
        console.log(`${name} ${place} ${scheme}: ${String(error).split("\n")[0]}`);
      }
      await context.close();
    }
}
await browser.close();
rig.close();
