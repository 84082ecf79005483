// Takes pictures of the scenes, to look at:
//   node tests/browser/pictures.mjs FOLDER [scenes] [places] [schemes]   every scene at every size, light and dark
//   node tests/browser/pictures.mjs readme                               renews those that the README shows
import { mkdir } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { launch, sizes } from "./rig/browser.mjs";
import { scenes, stage } from "./rig/scenes.mjs";
import { serveRig } from "./rig/serve.mjs";

const [folder, wanted = "", onlyPlaces = "", onlySchemes = ""] = process.argv.slice(2);
if (folder === undefined) {
  console.error("Name a folder: node tests/browser/pictures.mjs FOLDER [scenes] [places] [schemes], or readme.");
  process.exit(2);
}

/** Small enough for a page of text, large enough to read. */
const small = { width: 1280, height: 800 };
const inReadme = [
  { file: "live-light", name: "cell-plateau", place: "desk", scheme: "light", size: small },
  { file: "live-dark", name: "cell-plateau", place: "desk", scheme: "dark", size: small },
  { file: "touch", name: "cell-too-hot", place: "touch", scheme: "light" },
  { file: "phone", name: "cell-plateau", place: "phone", scheme: "dark" },
  { file: "floor", name: "floor", place: "desk", scheme: "light", size: small },
  { file: "run", name: "run", place: "desk", scheme: "light", size: { width: 1440, height: 900 } },
  { file: "overlay", name: "overlay", place: "desk", scheme: "light", size: small },
  { file: "alarms", name: "alarms", place: "desk", scheme: "light", size: small },
];

const some = (list, only) => list.filter((one) => only === "" || only.split(",").includes(one));
const all = () =>
  Object.entries(scenes)
    .filter(([name]) => wanted.split(",").some((part) => name.startsWith(part)))
    .flatMap(([name, scene]) =>
      some(scene.wall ? ["wall"] : scene.desk ? ["desk"] : ["desk", "touch", "phone", "turned"], onlyPlaces).flatMap(
        (place) =>
          // High contrast only where it is asked for.
          some(onlySchemes === "" ? ["light", "dark"] : ["light", "dark", "contrast"], onlySchemes).map((scheme) => ({
            file: `${name}-${place}-${scheme}`,
            name,
            place,
            scheme,
          })),
      ),
    );

const readme = folder === "readme";
const target = readme ? fileURLToPath(new URL("../../pictures", import.meta.url)) : folder;
await mkdir(target, { recursive: true });
const rig = await serveRig();
const browser = await launch();
for (const { file, name, place, scheme, size } of readme ? inReadme : all()) {
  const context = await browser.newContext({
    viewport: size ?? sizes[place],
    colorScheme: scheme === "dark" ? "dark" : "light",
    contrast: scheme === "contrast" ? "more" : "no-preference",
    hasTouch: place !== "desk" && place !== "wall",
    locale: "en-GB",
    timezoneId: "Europe/Berlin",
  });
  const page = await context.newPage();
  page.on("pageerror", (error) => console.log(`${file}: ${error.message}`));
  try {
    await page.goto(`${rig.url}${scenes[name].query}`);
    await page.getByTestId("clock").waitFor();
    await stage(page, scenes[name]);
    // What a busy computer took longer for must not look like a service that went silent.
    await page.evaluate(() => window.rig.play(0.1));
    await page.waitForTimeout(300);
    await page.screenshot({ path: `${target}/${file}.png` });
  } catch (error) {
    console.log(`${file}: ${String(error).split("\n")[0]}`);
  }
  await context.close();
}
await browser.close();
rig.close();
