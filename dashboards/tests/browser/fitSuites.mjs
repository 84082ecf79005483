import assert from "node:assert/strict";
import { astray, cutAxes, cutNames, overlaps, resize, spilled, squeezed, until } from "./look.mjs";
import { sizes } from "./rig/browser.mjs";
import { scenes, stage } from "./rig/scenes.mjs";

/** Windows between a panel and a large screen. */
const windows = [
  { width: 1440, height: 900 },
  { width: 1366, height: 768 },
  { width: 1280, height: 720 },
  { width: 2560, height: 1300 },
];

/** Tests of what has room where: nothing lies over something else, and no name is cut. */
export const fitSuites = {
  async Labels_stay_in_their_strip_at_every_width({ page }) {
    const p = await page("?at=60", { size: windows[0] });
    await until("labels", async () => (await p.locator(".label").count()) === 11);
    let now = 60;
    for (const at of [60, 204, 215, 235, 245, 262, 275, 330, 358]) {
      await p.evaluate((seconds) => window.rig.play(seconds), at - now);
      now = at;
      for (const size of windows) {
        await resize(p, size);
        const where = `${size.width}x${size.height} at ${at} s`;
        assert.equal(await p.locator(".label").count(), 11, where);
        assert.deepEqual(await astray(p), [], where);
        assert.deepEqual(await overlaps(p), [], where);
      }
    }
  },

  async Labels_of_an_ended_run_stay_in_their_strip({ page }) {
    for (const query of ["?", "?at=120#/cell/1/run/209"]) {
      const p = await page(query, { size: windows[0] });
      await until("labels", async () => (await p.locator(".label").count()) === 11);
      for (const size of windows) {
        await resize(p, size);
        assert.deepEqual(await astray(p), [], `${size.width} ${query}`);
        assert.deepEqual(await overlaps(p), [], `${size.width} ${query}`);
        assert.deepEqual(await spilled(p), [], `${size.width} ${query}`);
      }
      await p.context().close();
    }
  },

  async Floors_and_records_have_room_at_every_width({ page }) {
    const size = windows[0];
    const floor = await page("?at=225&live=1&cells=6#/floor", { size });
    await until("tiles", async () => (await floor.locator(".tile-drawing").count()) === 6);
    for (const size of windows) {
      await resize(floor, size);
      assert.deepEqual(await squeezed(floor), [], `floor ${size.width}`);
    }
    await floor.context().close();
    for (const hash of ["#/cell/1/run/210", "#/cell/1/run/210/over/204"]) {
      const p = await page(`?at=120${hash}`, { size });
      await until("figures", async () => (await p.locator(".figure").count()) >= 7);
      if (!hash.includes("over")) await until("the record", async () => (await p.locator(".record dd").count()) > 0);
      for (const size of windows) {
        await resize(p, size);
        assert.deepEqual(await squeezed(p), [], `${hash} ${size.width}`);
        assert.deepEqual(await spilled(p), [], `${hash} ${size.width}`);
      }
      await p.context().close();
    }
  },

  async A_turned_phone_shows_its_curve_with_all_of_its_axes({ page }) {
    for (const name of [
      "cell-waiting",
      "cell-plateau",
      "cell-two-carriers",
      "cell-several",
      "cell-too-hot",
      "cell-disk-low",
      "cell-ended-fail",
      "cell-closer",
      "cell-held",
      "cell-lost",
    ]) {
      const p = await page(scenes[name].query, { place: "phone", size: sizes.turned });
      await stage(p, { ...scenes[name], waitMs: 0 });
      await until("axes", async () => (await p.locator(".sheet .axes text").count()) > 4);
      await until(`${name} fits`, async () => (await cutAxes(p)).length === 0).catch(async () => {
        assert.deepEqual(await cutAxes(p), [], name);
      });
      const sheet = await p.locator(".sheet").boundingBox();
      assert.ok(sheet.height >= 130, `${name}: ${sheet.height} px are no curve`);
      assert.ok(
        (await p.evaluate(() => document.documentElement.scrollHeight - innerHeight)) <= 1,
        `${name} is scrolled`,
      );
      assert.deepEqual(await spilled(p), [], name);
      await p.context().close();
    }
  },

  async No_place_that_decides_is_cut_in_a_bar({ page }) {
    for (const [query, options] of [
      ["?at=235", { size: windows[0] }],
      ["?at=300", { place: "desk" }],
      ["?at=300", { place: "touch" }],
      ["?at=300", { place: "phone" }],
      ["?", { place: "desk" }],
      ["?peak=230", { place: "touch" }],
      ["?at=120#/cell/1/run/210", { place: "desk" }],
      ["?at=120#/cell/1/run/210", { place: "phone" }],
    ]) {
      const p = await page(query, options);
      await until("bars", async () => (await p.locator(".figure").count()) >= 3);
      assert.deepEqual(await cutNames(p), [], `${query} ${JSON.stringify(options)}`);
      await p.context().close();
    }
  },
};
