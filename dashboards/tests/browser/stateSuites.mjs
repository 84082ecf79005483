import assert from "node:assert/strict";
import { astray, inked, overlaps, resize, spilled, until, violations } from "./look.mjs";
import { sizes } from "./rig/browser.mjs";
import { scenes, stage } from "./rig/scenes.mjs";

const text = (page, id) => page.getByTestId(id).first().textContent();
const open = async (page, name, options = {}) => {
  const p = await page(scenes[name].query, options);
  await stage(p, scenes[name]);
  return p;
};

/** Tests of the states that a page can be in: each says what is so, and what somebody can do. */
export const stateSuites = {
  async The_path_to_a_first_run_proves_each_step({ page, axe }) {
    for (const place of ["desk", "touch", "phone"]) {
      const p = await open(page, "cell-first-start", { place });
      const done = (step) => p.getByTestId(`step-${step}`).getAttribute("data-done");
      await until("the path", async () => (await p.getByTestId("steps").count()) === 1);
      assert.equal(await done("line"), "true");
      assert.equal(await done("devices"), "false");
      assert.match(await text(p, "step-devices"), /1 of 2 answer\. Silent: the chamber gauge\..*probe/s);
      assert.match(await text(p, "step-channels"), /Nothing from Chamber/);
      assert.deepEqual(await spilled(p), [], place);
      assert.deepEqual(await violations(p, axe), [], place);
      // A plug that is put in is proven at once; a spec is still missing.
      await p.evaluate(() => {
        window.rig.silence(null);
        window.rig.play(2);
      });
      await until("devices", async () => (await done("devices")) === "true");
      await until("sensors", async () => (await done("sensors")) === "true");
      assert.match(await text(p, "step-sensors"), /All 11 read good\. Boards 2\d\.\d to 2\d\.\d\s°C/);
      assert.equal(await p.getByTestId("step-spec").getAttribute("aria-current"), "step");
      await p.context().close();
    }
    const bare = await open(page, "cell-unwired");
    await until("named", async () => /Nothing is wired yet/.test(await text(bare, "sentence")));
    assert.match(await text(bare, "step-line"), /names no device/);
    const ready = await open(page, "cell-waiting");
    await until("waiting", async () => /Waiting for the first run/.test(await text(ready, "sentence")));
    assert.equal(await ready.getByTestId("steps").count(), 0, "the path has been gone");
  },

  async A_disk_that_is_nearly_full_is_said_with_the_days_left({ page }) {
    for (const place of ["desk", "touch", "phone"]) {
      const p = await open(page, "cell-disk-low", { place });
      await until("said", async () => /nearly full: room for about 3 days/.test(await text(p, "sentence")));
      const prompt = await text(p, "prompt");
      assert.match(prompt, /2\.4\sGB free\. Tell plant IT/);
      assert.match(prompt, /2:3\d of usually 6:00/, "how the run goes on is still said");
      assert.deepEqual(await spilled(p), [], place);
      await p.context().close();
    }
  },

  async A_record_that_falls_behind_and_a_clock_that_stepped_are_said({ page }) {
    const behind = await open(page, "cell-recording");
    await until("said", async () => /Recording behind/.test(await text(behind, "sentence")));
    assert.match(await text(behind, "prompt"), /Check the disk of the computer/);
    assert.equal(await behind.getByTestId("prompt").getAttribute("data-tone"), "unknown");
    const stepped = await open(page, "cell-clock");
    await until("said", async () => /The clock stepped/.test(await text(stepped, "sentence")));
    assert.match(await text(stepped, "prompt"), /Check the computer’s time source/);
  },

  async Trouble_of_one_sensor_is_drawn_where_it_began({ page }) {
    const p = await open(page, "cell-sensor");
    await until("hatched", async () => (await p.getByTestId("hatch").count()) === 1);
    const ring = await p.locator("[data-testid=hatch] circle").boundingBox();
    const plot = await p.locator(".curves.main canvas").boundingBox();
    // It began at 2:00 of 6:00.
    assert.ok(Math.abs(ring.x + ring.width / 2 - (plot.x + (plot.width * 120) / 360)) < 4);
    assert.match(await p.getByTestId("prompt").textContent(), /No judged reading from Board 2 driver/);
    assert.match(await p.getByTestId("label-tc4").getAttribute("class"), /old/);
    assert.doesNotMatch(await p.getByTestId("label-tc3").getAttribute("class"), /\bold\b/);
    assert.match(await text(p, "value-tc4"), /· 1\smin/, "its last number has its age");
  },

  async A_page_that_never_reached_the_service_claims_nothing({ page }) {
    for (const place of ["desk", "touch", "phone"]) {
      const p = await open(page, "cell-never", { place });
      await until("said", async () => /No answer from the service for \d+\ss/.test(await text(p, "sentence")));
      assert.match(await text(p, "prompt"), /Nothing below is known yet\. Asking again/);
      assert.equal(await p.locator(".label").count(), 0);
      assert.match(await text(p, "reading-age"), /no readings yet/);
      await p.context().close();
    }
  },

  async A_record_without_runs_says_how_one_comes_to_be({ page }) {
    const none = await open(page, "runs-none");
    await until("said", async () => /No run has been recorded yet/.test(await text(none, "sentence")));
    assert.match(await none.getByTestId("prompt").textContent(), /when its boards have begun to warm up/);
    const failed = await open(page, "runs-failed");
    await until("said", async () => /list of runs did not come/.test(await text(failed, "sentence")));
    await failed.evaluate(() => {
      window.record.refuse = 0;
    });
    await failed.getByTestId("again").focus();
    await failed.keyboard.press("Enter");
    await until("rows", async () => (await failed.locator(".run-row").count()) === 30);
  },

  async A_production_run_is_compared_and_never_judged({ page }) {
    for (const place of ["desk", "touch", "phone"]) {
      const live = await open(page, "cell-production", { place });
      await until("running", async () => /No action asked/.test(await text(live, "sentence")));
      assert.equal(await live.getByTestId("lens").count(), 0, "no board, no lens");
      if (place !== "phone") {
        await until("labels", async () => (await live.locator(".label").count()) === 3);
        assert.deepEqual(await astray(live), [], place);
        assert.deepEqual(await overlaps(live), [], place);
      }
      await live.context().close();
      const p = await open(page, "run-production", { place });
      await until("said", async () =>
        /not comparable\. No board temperature was measured/.test(await text(p, "sentence")),
      );
      assert.doesNotMatch(await p.getByTestId("prompt").textContent(), /\b(pass|fail)/i);
      await until("curves", async () => (await inked(p)) > 200);
      assert.deepEqual(await spilled(p), [], place);
      await p.context().close();
    }
  },

  async A_run_that_is_reached_by_its_address_says_that_it_is_a_demo({ page }) {
    const p = await page("?at=120&live=1#/cell/1/run/209");
    await until("curves", async () => (await inked(p)) > 500);
    await until("marked", async () => (await p.getByTestId("demo").count()) === 1);
    const over = await page("?at=120&live=1#/cell/1/run/210/over/204");
    await until("marked", async () => (await over.getByTestId("demo").count()) === 1);
  },

  async More_channels_than_curve_styles_keep_apart({ page }) {
    for (const size of [
      { width: 1920, height: 1080 },
      { width: 1440, height: 900 },
    ])
      for (const at of [190, 240, 310]) {
        const p = await page(`?at=${at}&many=1`, { size });
        await until("labels", async () => (await p.locator(".label").count()) === 19);
        assert.deepEqual(await overlaps(p), [], `${size.width} at ${at} s`);
        assert.deepEqual(await astray(p), [], `${size.width} at ${at} s`);
        await p.context().close();
      }
  },

  async High_contrast_has_no_violation_and_covers_nothing({ page, axe }) {
    for (const name of ["cell-plateau", "cell-several", "runs", "run", "alarms", "floor", "keys"]) {
      const p = await open(page, name, { contrast: "more" });
      assert.equal(await p.locator("html").getAttribute("data-theme"), "contrast");
      assert.deepEqual(await violations(p, axe), [], name);
      assert.deepEqual(await spilled(p), [], name);
      await p.context().close();
    }
  },

  async From_afar_each_carrier_has_a_number_and_an_alarm_the_one_it_is_about({ page }) {
    const two = await open(page, "wall-two-carriers", { place: "wall" });
    await until("two numbers", async () => (await two.getByTestId("far-value").count()) === 2);
    assert.deepEqual(
      (await two.locator(".far h2").allTextContents()).map((name) => name.trim()),
      ["Carrier A", "Carrier B"],
    );
    assert.deepEqual(await two.getByTestId("far-name").allTextContents(), [
      "coolest: Board 1 choke",
      "coolest: Board 3 bus bar",
    ]);
    // The coolest board says nothing of one that is too hot.
    const hot = await open(page, "wall-too-hot", { place: "wall" });
    await until("the hot board", async () => (await text(hot, "far-name")) === "Board 1 choke");
    assert.ok(Number.parseFloat((await text(hot, "far-value")).trim()) >= 245);
    assert.deepEqual(await spilled(two), []);
  },

  async Every_state_fits_every_screen({ page }) {
    const all = Object.entries(scenes);
    const fits = async ([name, scene]) => {
      const places = scene.wall ? ["wall"] : scene.desk ? ["desk"] : ["touch", "phone"];
      const p = await open(page, name, { place: places[0] });
      for (const place of places) {
        // The same state on the smaller screen: a panel that became a phone.
        if (place !== places[0]) await resize(p, sizes[place]);
        assert.deepEqual(await spilled(p), [], `${name} ${place}`);
        assert.deepEqual(await overlaps(p), [], `${name} ${place}`);
      }
      await p.context().close();
    };
    // Most of it is waiting for a scene to come about, so several come about at once.
    while (all.length > 0) await Promise.all(all.splice(0, 6).map(fits));
  },
};
