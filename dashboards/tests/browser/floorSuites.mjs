import assert from "node:assert/strict";
import { settled, spilled, until, violations } from "./look.mjs";

const text = (page, id) => page.getByTestId(id).first().textContent();
const sentences = (page) => page.locator(".prompts .sentence").allTextContents();
const curves = (page, cell) =>
  page
    .getByTestId(`tile-${cell}`)
    .evaluate((tile) => [...tile.querySelectorAll(".tile-curve")].map((path) => path.getAttribute("d") ?? ""));

/** Tests of the floor: all cells at a glance. */
export const floorSuites = {
  async The_floor_shows_every_cell_and_what_asks_comes_first({ page }) {
    for (const place of ["desk", "touch", "phone"]) {
      const p = await page("?at=225&live=1&cells=6#/floor", { place });
      await until("six tiles", async () => (await p.locator(".tile-drawing").count()) === 6);
      await until("all calm", async () => /^No action asked at any of the 6 cells/.test((await sentences(p)).join()));
      await until("curves", async () => (await curves(p, 3)).filter((d) => d.length > 500).length >= 8);
      assert.match(await text(p, "tile-2"), /run 214.*No action asked.*board \d+\.\d–\d+\.\d\s°C.*of about 6:00/s);
      await p.evaluate(() => {
        window.others[1].tooHot(1, 20);
        window.others[2].silence("amp");
      });
      await until("asked", async () => /^Cell 4: Keep the chamber closed/.test((await sentences(p))[0]));
      await until("unknown", async () => /Cell 5 sends nothing/.test((await sentences(p)).join()));
      assert.equal(await p.getByTestId("tile-3").getAttribute("data-tone"), "act");
      await until("hatched", async () => (await p.getByTestId("tile-4").getByTestId("tile-hatch").count()) === 1);
      assert.deepEqual(await spilled(p), [], place);
      await p.context().close();
    }
  },

  async A_cell_of_the_floor_is_opened_by_pointer_and_by_key({ page }) {
    const p = await page("?at=225&live=1&cells=3#/floor");
    await until("three tiles", async () => (await p.locator(".tile-drawing").count()) === 3);
    await p.keyboard.press("ArrowDown");
    await p.keyboard.press("ArrowRight");
    assert.equal(await p.evaluate(() => document.activeElement.dataset.cell), "2");
    await p.keyboard.press("ArrowLeft");
    await p.keyboard.press("Enter");
    await until("the cell", async () => (await p.evaluate(() => location.hash)) === "#/cell/1");
    await p.getByTestId("place-floor").click();
    await until("back", async () => (await p.locator(".tile-drawing").count()) === 3);
    await p.getByTestId("tile-2").click();
    await until("the other cell", async () => (await p.locator("h1").textContent()) === "Cell 3");
  },

  async A_floor_that_lost_a_cell_tears_its_edge({ page }) {
    const p = await page("?at=225&live=1&cells=3#/floor");
    await until("three tiles", async () => (await p.locator(".tile-drawing").count()) === 3);
    await p.evaluate(() => window.others[0].cut());
    await until("torn", async () => (await p.getByTestId("tile-2").getByTestId("tile-torn").count()) === 1);
    assert.match(await text(p, "tile-sentence-2"), /^This page lost the service at /);
    const [before] = await curves(p, 2);
    await settled(p);
    assert.equal((await curves(p, 2))[0], before, "nothing is drawn that was not heard");
    await p.evaluate(() => window.others[0].mend(false));
    await until("mended", async () => (await p.getByTestId("tile-2").getByTestId("tile-torn").count()) === 0);
  },

  async Axe_finds_nothing_on_the_floor({ page, axe }) {
    for (const [place, scheme] of [
      ["desk", "dark"],
      ["touch", "light"],
      ["phone", "dark"],
    ]) {
      const p = await page("?at=225&live=1&cells=4#/floor", { place, scheme });
      await until("tiles", async () => (await p.locator(".tile-drawing").count()) === 4);
      await p.evaluate(() => window.others[1].tooHot(1, 20));
      await until("the alarm", async () => /^Keep the chamber/.test(await text(p, "tile-sentence-3")));
      assert.deepEqual(await violations(p, axe), [], `${place} ${scheme}`);
      await p.context().close();
    }
  },
};
