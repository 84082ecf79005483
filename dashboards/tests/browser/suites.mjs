import assert from "node:assert/strict";
import { doingSuites } from "./doingSuites.mjs";
import { feedSuites } from "./feedSuites.mjs";
import { fitSuites } from "./fitSuites.mjs";
import { floorSuites } from "./floorSuites.mjs";
import { functionSuites } from "./functionSuites.mjs";
import { linkSuites } from "./linkSuites.mjs";
import { inkEnd, inked, inkUnderLabels, overlaps, resize, spilled, until, violations } from "./look.mjs";
import { recordSuites } from "./recordSuites.mjs";
import { sizes } from "./rig/browser.mjs";
import { runSuites } from "./runSuites.mjs";
import { stateSuites } from "./stateSuites.mjs";

const text = (page, id) => page.getByTestId(id).first().textContent();
const tone = (page) => page.getByTestId("prompt").getAttribute("data-tone");

/** Every test by its name. Each gets pages of the application with a service that is played in the page. */
export const suites = {
  ...recordSuites,
  ...doingSuites,
  ...floorSuites,
  ...feedSuites,
  ...fitSuites,
  ...functionSuites,
  ...linkSuites,
  ...runSuites,
  ...stateSuites,

  async Curve_grows_with_the_readings({ page }) {
    const p = await page("?at=120&live=1");
    await until("ink", async () => (await inked(p)) > 500);
    const before = await inkEnd(p);
    await p.evaluate(() => window.rig.play(60));
    await until("more ink", async () => (await inkEnd(p)) > before + 0.1);
    const end = await inkEnd(p);
    assert.ok(Math.abs(end - 181 / 360) < 0.03, `ends at ${end}`);
  },

  async Labels_carry_the_newest_values_and_never_overlap({ page }) {
    for (const place of ["desk", "touch"]) {
      const p = await page("?at=5", { place });
      let now = 5;
      for (const at of [5, 60, 150, 199, 205, 225, 250, 275, 300, 330, 358]) {
        await p.evaluate((seconds) => window.rig.play(seconds), at - now);
        now = at;
        const truth = await p.evaluate(() => window.rig.record.values[2].at(-1));
        // On a busy machine the number has its age beside it by the time it is read.
        const shown = async () => Number.parseFloat(await text(p, "value-tc3"));
        await until(`tc3 at ${at} s`, async () => Math.abs((await shown()) - truth) < 0.11);
        assert.equal(await p.locator(".label").count(), 11);
        assert.deepEqual(await overlaps(p), [], `${place} at ${at} s`);
        // Late in the run the labels stand ahead of the curves, however far these have come.
        if (at >= 300) assert.equal(await inkUnderLabels(p), 0, `${place} at ${at} s: labels lie on curves`);
      }
      await p.context().close();
    }
  },

  async Nothing_spills_over_the_page({ page }) {
    for (const place of ["desk", "touch", "phone", "wall"])
      for (const scene of ["?at=240", "?", "?idle=1&history=0"]) {
        const query = place === "wall" ? `${scene}&place=wall` : scene;
        const p = await page(query, { place });
        assert.deepEqual(await spilled(p), [], `${place} ${query}`);
        await p.context().close();
      }
  },

  async Lens_is_there_on_the_plateau_only({ page }) {
    const ramp = await page("?at=190");
    assert.equal(await ramp.getByTestId("lens").count(), 0);
    // It goes on, as old values are not looked at more closely.
    const plateau = await page("?at=235&live=1");
    await until("lens", async () => (await plateau.getByTestId("lens").count()) === 1);
    assert.equal(await plateau.getByTestId("gate").count(), 1);
    assert.ok((await inked(plateau, 0, 1, ".curves.magnified canvas")) > 300);
    const cool = await page("?at=300");
    assert.equal(await cool.getByTestId("lens").count(), 0);
  },

  async Too_hot_is_said_seen_and_marked({ page }) {
    const p = await page("?at=225&live=1");
    assert.equal(await tone(p), "calm");
    await p.evaluate(() => window.rig.tooHot(1, 20));
    await until("the prompt", async () => (await tone(p)) === "act");
    assert.match(await text(p, "sentence"), /Keep the chamber closed, let the programme end, hold the boards/);
    assert.match(await p.getByTestId("prompt").textContent(), /Board 1 choke reads 2\d\d\.\d\s°C/);
    assert.match(await p.locator("[role=alert]").textContent(), /Keep the chamber closed/);
    assert.match(await p.getByTestId("label-tc2").getAttribute("class"), /alarmed/);
    await p.getByTestId("acknowledge").click();
    await until("no more asking", async () => (await p.getByTestId("acknowledge").count()) === 0);
    assert.deepEqual(await p.evaluate(() => window.rig.acknowledged), ["tooHot/tc2"]);
    assert.equal(await tone(p), "act", "the condition still holds");
    await p.evaluate(() => window.rig.coolAgain());
    await until("calm", async () => (await tone(p)) === "calm");
  },

  async Alarm_is_acknowledged_by_key({ page }) {
    const p = await page("?at=225&live=1");
    await p.evaluate(() => window.rig.tooHot(1, 20));
    await until("the prompt", async () => (await tone(p)) === "act");
    await p.keyboard.press("a");
    await until("sent", async () => (await p.evaluate(() => window.rig.acknowledged.length)) === 1);
  },

  async Silent_device_greys_its_numbers_and_is_named({ page }) {
    const p = await page("?at=150&live=1");
    await p.evaluate(() => window.rig.silence("amp"));
    await until("named", async () => /No data from the amplifier for \d+\ss/.test(await text(p, "sentence")));
    await until("grey", async () => /old/.test(await p.getByTestId("label-tc1").getAttribute("class")));
    assert.match(await text(p, "value-tc1"), /^\d+\.\d · \d+\ss$/);
    assert.doesNotMatch(await p.getByTestId("label-chamber").getAttribute("class"), /\bold\b/);
    assert.ok((await p.getByTestId("hatch").count()) >= 1);
    await p.evaluate(() => window.rig.play(6));
    await p.evaluate(() => window.rig.silence(null));
    await p.evaluate(() => window.rig.play(10));
    await until("fresh", async () => !/\bold\b/.test(await p.getByTestId("label-tc1").getAttribute("class")));
  },

  async Gap_is_never_bridged({ page }) {
    const p = await page("?at=60");
    await p.evaluate(() => window.rig.silence("amp"));
    await p.evaluate(() => window.rig.play(36));
    await p.evaluate(() => window.rig.silence(null));
    await p.evaluate(() => window.rig.play(36));
    await until("drawn", async () => (await inkEnd(p)) > 0.35);
    // The gap is a tenth of the axis, from 60 s to 96 s of 360 s.
    assert.equal(await inked(p, 62 / 360, 94 / 360), 0);
    assert.ok((await inked(p, 100 / 360, 130 / 360)) > 100);
  },

  async Spike_of_one_sample_is_drawn({ page }) {
    const p = await page("?at=80");
    await p.evaluate(() => {
      window.rig.troubles.hot = { channel: 3, above: 140 };
      window.rig.play(0.1);
      window.rig.troubles.hot = null;
      window.rig.play(30);
    });
    await until("drawn", async () => (await inkEnd(p)) > 0.29);
    const top = await p.locator(".curves.main canvas").evaluate((canvas) => {
      // 80.1 s of 360 s, and the upper third, where no curve is otherwise.
      const x = Math.floor((canvas.width * 80) / 360) - 3;
      const { data } = canvas.getContext("2d").getImageData(x, 0, 8, canvas.height / 2);
      return data.some((value, i) => i % 4 === 3 && value > 40);
    });
    assert.equal(top, true);
    // And crossed, as it is not judged: at 80.1 s of 360 s, high above the curves.
    await until("crossed", async () => (await p.getByTestId("spike").count()) === 1);
    const cross = await p.getByTestId("spike").boundingBox();
    const canvas = await p.locator(".curves.main canvas").boundingBox();
    assert.ok(Math.abs(cross.x + cross.width / 2 - (canvas.x + (canvas.width * 80.1) / 360)) < 4);
    assert.ok(cross.y < canvas.y + canvas.height / 2);
    assert.match(await p.getByTestId("spike").textContent(), /Drawn, not judged/);
    // One of the chamber's gauge is crossed in the strip of the pressure, where it is drawn.
    await p.evaluate(() => {
      window.rig.troubles.hot = { channel: 10, above: -900 };
      window.rig.play(0.1);
      window.rig.troubles.hot = null;
      window.rig.play(10);
    });
    await until("crossed below", async () => (await p.getByTestId("spike").count()) === 2);
    assert.match(await p.getByTestId("spike").last().textContent(), /^Chamber: a single reading/);
    const glitch = await p.getByTestId("spike").last().boundingBox();
    const strip = await p.locator(".curves.chamber canvas").boundingBox();
    assert.ok(Math.abs(glitch.x + glitch.width / 2 - (strip.x + (strip.width * 110.2) / 360)) < 4);
    // 113 mbar, on an axis of decades below 1400 mbar.
    assert.ok(glitch.y > strip.y && glitch.y + glitch.height < strip.y + strip.height, JSON.stringify([glitch, strip]));
  },

  async A_thermocouple_that_came_off_is_named_on_its_curve_and_not_judged({ page }) {
    for (const place of ["desk", "touch"]) {
      const p = await page("?at=120", { place });
      await until("labels", async () => (await p.locator(".label").count()) === 11);
      await p.evaluate(() => {
        window.rig.lift(5, 8);
        window.rig.play(20);
      });
      await until("hatched from where it began", async () => (await p.getByTestId("hatch").count()) === 1);
      assert.match(await p.getByTestId("hatch").textContent(), /probably came off its joint. Drawn, not judged/);
      assert.equal(await p.getByTestId("spike").count(), 0, "it is no spike");
      await until("in brackets", async () => /^\(\d+\.\d\)$/.test(await text(p, "value-tc6")));
      assert.match(await text(p, "value-tc5"), /^~?\d+\.\d$/);
      assert.deepEqual(await overlaps(p), [], place);
      // The cursor says it where it holds, and nothing of it before.
      for (let i = 0; i < 10; i++) await p.keyboard.press("ArrowLeft");
      await until("in words", async () => /probably off its joint$/.test(await text(p, "cursor-text")));
      for (let i = 0; i < 4; i++) await p.keyboard.press("Shift+ArrowLeft");
      await until("not before", async () => /^cursor \d:\d\d$/.test(await text(p, "cursor-text")));
      assert.match(await text(p, "value-tc6"), /^\d+\.\d$/);
      await p.context().close();
    }
  },

  async Marked_readings_of_a_stored_run_are_named_at_the_cursor_and_in_its_list({ page }) {
    const p = await page("?at=120#/cell/1/run/207");
    await until("both", async () => (await p.getByTestId("spike").count()) === 2);
    assert.equal(await p.getByTestId("hatch").count(), 1);
    const notes = await text(p, "notes");
    assert.match(notes, /: 2 single readings far from the neighbours, at 1:40, 2:20\. Drawn, not judged\./);
    assert.match(notes, /falls alone at 3:10 and stays low: it probably came off its joint/);
    // The cursor is put on the first of both by its address.
    await p.evaluate(() => {
      location.hash = "#/cell/1/run/207?cursor=100";
    });
    await until("a single one", async () =>
      /^cursor 1:40 · .*: single reading, not judged$/.test(await text(p, "cursor-text")),
    );
    await p.keyboard.press("Shift+ArrowRight");
    await until("beside it", async () => (await text(p, "cursor-text")) === "cursor 1:50");
    for (let i = 0; i < 10; i++) await p.keyboard.press("Shift+ArrowRight");
    await until("off", async () => /^cursor 3:30 · .*: probably off its joint$/.test(await text(p, "cursor-text")));
  },

  async What_the_cursor_says_has_room_on_every_screen({ page }) {
    for (const place of ["desk", "touch"]) {
      const p = await page("?at=120#/cell/1/run/207?cursor=210", { place });
      for (const one of place === "desk" ? ["desk"] : ["touch", "phone"]) {
        if (one === "phone") await resize(p, sizes.phone);
        await until("said", async () => /probably off its joint/.test(await text(p, "cursor-text")));
        const sheet = await p.locator(".sheet").boundingBox();
        const box = await p.locator(".cursor-box").boundingBox();
        assert.ok(box.x >= sheet.x && box.x + box.width <= sheet.x + sheet.width, `${one}: the box leaves the sheet`);
        for (const row of await p.locator("[data-testid=cursor-text] tspan").all()) {
          const line = await row.boundingBox();
          assert.ok(line.x >= box.x && line.x + line.width <= box.x + box.width, `${one}: the text leaves its box`);
        }
        // Names of the strips beside them are not cut either.
        const cut = await p
          .locator(".sheet svg text")
          .evaluateAll((all) =>
            all
              .filter((one) => one.getBoundingClientRect().left < one.ownerSVGElement.getBoundingClientRect().left - 1)
              .map((one) => one.textContent),
          );
        assert.deepEqual(cut, [], one);
      }
      await p.context().close();
    }
  },

  async Lost_service_is_plain_and_the_hole_is_filled({ page }) {
    const p = await page("?at=100&live=1");
    await p.evaluate(() => window.rig.cut());
    await until("said", async () => /This page lost the service at/.test(await text(p, "sentence")));
    await until("torn", async () => (await p.getByTestId("torn").count()) === 1);
    await until("grey", async () => /\bold\b/.test(await p.getByTestId("label-tc1").getAttribute("class")));
    const before = await inkEnd(p);
    await p.evaluate(() => {
      window.rig.play(60);
      window.rig.mend(false);
    });
    await until("back", async () => (await tone(p)) === "calm", 15_000);
    assert.equal(await p.getByTestId("torn").count(), 0);
    await until("filled", async () => (await inkEnd(p)) > before + 0.15);
    // No hole where the page was away: every twentieth of the stretch has ink.
    for (let part = before; part < before + 0.15; part += 0.02)
      assert.ok((await inked(p, part, part + 0.02)) > 0, `at ${part}`);
  },

  async Service_that_was_started_anew_is_begun_anew({ page }) {
    const p = await page("?at=100&live=1");
    await p.evaluate(() => {
      window.rig.cut();
      window.rig.mend(true);
    });
    await until("back", async () => (await tone(p)) === "calm", 15_000);
    assert.ok((await inked(p)) > 500);
  },

  async Hidden_page_is_fresh_when_it_is_seen_again({ page }) {
    const p = await page("?at=100&live=1");
    const session = await p.context().newCDPSession(p);
    await session.send("Page.setWebLifecycleState", { state: "frozen" });
    await new Promise((resolve) => setTimeout(resolve, 2500));
    await session.send("Page.setWebLifecycleState", { state: "active" });
    await p.evaluate(() => window.rig.play(30));
    await until("fresh", async () => !/\bold\b/.test(await p.getByTestId("label-tc1").getAttribute("class")));
    await until("young", async () => /readings 0\.\d\ss old · 11 of 11 good/.test(await text(p, "reading-age")));
  },

  async Last_run_stays_with_its_verdict({ page }) {
    const p = await page("?live=1");
    await until("the verdict", async () => /^Pass: all 7 limits are met\.$/.test(await text(p, "sentence")));
    assert.match(await text(p, "now"), /^ended 6:00$/);
    assert.ok((await inked(p)) > 500);
    const failed = await page("?peak=230&live=1");
    await until("the verdict", async () =>
      /^Fail: .*peak 23\d\.\d\s°C, at most 230 asked\.$/.test(await text(failed, "sentence")),
    );
    assert.equal(await tone(failed), "soon");
    assert.equal(await failed.getByTestId("figure-peakTemperature").getAttribute("data-standing"), "outside");
  },

  async First_run_is_waited_for({ page }) {
    const p = await page("?history=0&idle=1&usual=0&live=1");
    await until("waiting", async () => /Waiting for the first run/.test(await text(p, "sentence")));
    assert.equal(await inked(p), 0);
    assert.match(await text(p, "value-tc1"), /^2\d\.\d$/);
  },

  async Demo_is_marked_in_the_title_and_on_the_page({ page }) {
    const p = await page("?at=10");
    assert.equal(await p.title(), "Demo · Cell 2 · ThermoWatch");
    assert.match(await text(p, "demo"), /simulated/);
  },

  async Keys_are_listed_and_the_look_is_kept({ page }) {
    const p = await page("?at=60&live=1");
    await p.keyboard.press("?");
    await p.getByTestId("keys").waitFor({ state: "visible" });
    await p.keyboard.press("Escape");
    await p.getByTestId("keys").waitFor({ state: "hidden" });
    await p.keyboard.press("l");
    assert.equal(await p.locator("html").getAttribute("data-theme"), "light");
    await p.keyboard.press("l");
    assert.equal(await p.locator("html").getAttribute("data-theme"), "dark");
    await p.reload();
    await p.getByTestId("sentence").waitFor();
    assert.equal(await p.locator("html").getAttribute("data-theme"), "dark");
    await p.keyboard.press("ArrowDown");
    await until("one stands out", async () => (await p.locator(".label[data-chosen=true]").count()) === 1);
    await p.keyboard.press("Escape");
    await until("none", async () => (await p.locator(".label[data-chosen=true]").count()) === 0);
  },

  async A_label_that_is_pressed_stands_out({ page }) {
    const p = await page("?at=150&live=1");
    await p.getByTestId("label-tc4").click({ force: true });
    await until("pressed", async () => (await p.getByTestId("label-tc4").getAttribute("data-chosen")) === "true");
    await p.getByTestId("label-tc4").click({ force: true });
    await until("released", async () => (await p.getByTestId("label-tc4").getAttribute("data-chosen")) === "false");
  },

  async Closer_look_survives_a_thousand_frames({ page }) {
    const p = await page("?at=150&live=1");
    await until("labels", async () => (await p.locator(".label").count()) === 11);
    const box = await p.locator(".sheet").boundingBox();
    const at = (seconds) => box.x + 68 + ((box.width - 96) * seconds) / 360;
    await p.mouse.move(at(60), box.y + 300);
    await p.mouse.down();
    await p.mouse.move(at(80), box.y + 300, { steps: 4 });
    await p.mouse.move(at(120), box.y + 300, { steps: 4 });
    await p.mouse.up();
    const times = () => p.locator(".axes text").allTextContents();
    await until("zoomed", async () => !(await times()).includes("6:00"));
    const before = await times();
    assert.ok(before.includes("1:30"), before.join());
    await p.mouse.move(5, 500);
    await p.evaluate(async () => {
      for (let i = 0; i < 100; i++) {
        window.rig.play(1);
        await new Promise((resolve) => requestAnimationFrame(resolve));
      }
    });
    assert.deepEqual(await times(), before);
    await p.keyboard.press("0");
    await until("whole", async () => (await times()).includes("6:00"));
  },

  async Cursor_tells_what_was_read_and_measures({ page }) {
    const p = await page("?at=250");
    await until("labels", async () => (await p.locator(".label").count()) === 11);
    for (let i = 0; i < 15; i++) await p.keyboard.press("Shift+ArrowLeft");
    await until("cursor", async () => (await text(p, "cursor-text")) === "cursor 1:40");
    const truth = (seconds) => p.evaluate((t) => window.rig.record.values[2][Math.round(t * 10)], seconds);
    await until("values", async () => Math.abs(Number(await text(p, "value-tc3")) - (await truth(100))) < 0.11);
    await p.getByTestId("label-tc3").click();
    await p.mouse.move(5, 500);
    for (let i = 0; i < 15; i++) await p.keyboard.press("Shift+ArrowLeft");
    await p.keyboard.press("m");
    await p.keyboard.press("Shift+ArrowLeft");
    await p.keyboard.press("Shift+ArrowLeft");
    await until("measured", async () => /^−20\.0\ss · .*K\/s · Board 2 edge$/.test(await text(p, "cursor-text")));
    const slope = Number(/([\d.]+)\sK\/s/.exec(await text(p, "cursor-text"))[1]);
    const expected = ((await truth(100)) - (await truth(80))) / 20;
    assert.ok(Math.abs(slope - expected) < 0.02, `${slope} against ${expected}`);
  },

  async Frozen_picture_stands_and_says_its_age({ page }) {
    const p = await page("?at=150&live=1");
    await until("labels", async () => (await p.locator(".label").count()) === 11);
    await p.keyboard.press("f");
    const before = await inkEnd(p);
    await p.evaluate(() => window.rig.play(40));
    // Play goes on meanwhile, so on a busy machine it may be more than the 40 s that were jumped over.
    await until("age", async () =>
      /Held at \d:\d\d, ([4-9]\d\ss|\dmin.*|\d\smin.*) behind/.test(await text(p, "held")),
    );
    assert.ok(Math.abs((await inkEnd(p)) - before) < 0.005);
    await p.keyboard.press("f");
    await until("goes on", async () => (await inkEnd(p)) > before + 0.08);
  },

  async Alarms_have_a_place_of_their_own({ page }) {
    for (const place of ["desk", "touch", "phone"]) {
      const p = await page("?at=225&live=1", { place });
      await p.evaluate(() => window.rig.tooHot(1, 20));
      await until("the prompt", async () => (await tone(p)) === "act");
      await p.locator("[data-testid=place-alarms]:visible").click();
      const card = p.getByTestId("alarm-tooHot/tc2");
      await card.waitFor();
      assert.match(await card.textContent(), /Too hot: Board 1 choke.*Keep the chamber closed.*Nobody has seen it/s);
      await card.locator(".answer").click();
      await until("seen", async () => (await card.getAttribute("data-state")) === "acknowledged");
      assert.match(await text(p, "sentence"), /1 alarm stands, 1 seen/);
      await p.evaluate(() => window.rig.coolAgain());
      await until("none", async () => /No alarm stands/.test(await text(p, "sentence")));
      await p.locator("[data-testid=place-cell]:visible").click();
      await until("curves again", async () => (await inked(p)) > 200);
    }
  },

  async A_thousand_frames_leave_no_trail({ page }) {
    const p = await page("?at=20");
    const nodes = () => p.evaluate(() => document.querySelectorAll("*").length);
    await until("labels", async () => (await p.locator(".label").count()) === 11);
    const before = await nodes();
    await p.evaluate(async () => {
      for (let i = 0; i < 100; i++) {
        window.rig.play(1);
        await new Promise((resolve) => requestAnimationFrame(resolve));
      }
    });
    assert.ok((await nodes()) < before + 80, `${before} nodes became ${await nodes()}`);
  },

  async Frame_event_tells_what_was_drawn({ page }) {
    const p = await page("?at=20&live=1");
    const detail = await p.evaluate(
      () =>
        new Promise((resolve) =>
          document.addEventListener("thermowatch:frame", (event) => resolve(event.detail), { once: true }),
        ),
    );
    assert.equal(typeof detail.seq, "number");
    assert.equal(typeof detail.t, "number");
  },

  async Axe_finds_nothing({ page, axe }) {
    for (const place of ["desk", "touch"])
      for (const query of ["?at=240", "?", "?at=225&hot=1", "?at=225&hot=1#/alarms"]) {
        const p = await page(query, { place });
        if (query.includes("hot")) {
          await p.evaluate(() => window.rig.tooHot(1, 20));
          if (!query.includes("#")) await until("act", async () => (await tone(p)) === "act");
          else await p.getByTestId("alarm-tooHot/tc2").waitFor();
        }
        assert.deepEqual(await violations(p, axe, ["dark"]), [], `${place} ${query}`);
        if (place === "touch") {
          await resize(p, sizes.phone);
          assert.deepEqual(await violations(p, axe, ["light"]), [], `phone ${query}`);
        }
        await p.context().close();
      }
  },
};
