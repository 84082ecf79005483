import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { inked, overlaps, settled, spilled, until, violations } from "./look.mjs";
import { scenes, stage } from "./rig/scenes.mjs";

const text = (page, id) => page.getByTestId(id).first().textContent();
const drawn = (page) => until("ink", async () => (await inked(page)) > 500);
const address = (page) => page.evaluate(() => location.hash);
/** Times written under the curves, as an axis shows them. */
const times = (page) => page.locator(".axes text").allTextContents();
const labelled = (page) => until("labels", async () => (await page.locator(".label").count()) === 11);

/** Tests of what can be done with curves and pages, each by keyboard and by pointer. */
export const functionSuites = {
  async A_closer_look_is_taken_moved_and_left_by_key_and_by_pointer({ page }) {
    const p = await page("?at=120&live=1#/cell/1/run/209");
    await drawn(p);
    const whole = await times(p);
    for (let i = 0; i < 8; i++) await p.keyboard.press("Shift+ArrowLeft");
    await p.keyboard.press("+");
    await p.keyboard.press("+");
    await until("closer", async () => !(await times(p)).includes("6:00"));
    // The address goes along: whoever opens it sees the same stretch.
    await until("in the address", async () => /from=[\d.]+&to=[\d.]+$/.test(await address(p)));
    const link = await address(p);
    const near = await times(p);
    await p.keyboard.press(",");
    await until("earlier", async () => (await address(p)) !== link);
    assert.notEqual((await times(p)).join(), near.join());
    await p.keyboard.press(".");
    await until("back where it was", async () => (await address(p)) === link);
    const other = await page(`?at=120&live=1${link}`);
    await drawn(other);
    await until("the same stretch", async () => (await times(other)).join() === near.join());
    // The cursor takes the stretch along where it leaves it.
    for (let i = 0; i < 14; i++) await p.keyboard.press("Shift+ArrowLeft");
    await until("walked", async () => (await times(p)).join() !== near.join());
    await p.keyboard.press("0");
    await until("whole", async () => (await times(p)).join() === whole.join());
    await until("out of the address", async () => (await address(p)) === "#/cell/1/run/209");

    const box = await p.locator(".sheet").boundingBox();
    await p.mouse.move(box.x + 500, box.y + 200);
    await p.mouse.wheel(0, -300);
    await p.mouse.wheel(0, -300);
    await p.mouse.wheel(0, -300);
    await until("closer by the wheel", async () => (await times(p)).join() !== whole.join());
    const before = await times(p);
    await p.keyboard.down("Shift");
    await p.mouse.down();
    await p.mouse.move(box.x + 300, box.y + 200, { steps: 5 });
    await p.mouse.up();
    await p.keyboard.up("Shift");
    await until("moved by dragging", async () => (await times(p)).join() !== before.join());
    const moved = await times(p);
    await p.getByTestId("earlier").click();
    await until("moved by the button", async () => (await times(p)).join() !== moved.join());
    await p.getByTestId("whole-run").click();
    await until("whole again", async () => (await times(p)).join() === whole.join());
    await p.getByTestId("closer").click();
    await until("closer by the button", async () => (await times(p)).join() !== whole.join());
    await p.getByTestId("wider").click();
    await until("wider by the button", async () => (await times(p)).join() === whole.join());
  },

  async Fingers_move_a_closer_look_and_pull_it_closer({ page }) {
    const p = await page("?at=120&live=1#/cell/1/run/209", { place: "touch" });
    await drawn(p);
    await p.locator(".sheet").scrollIntoViewIfNeeded();
    const box = await p.locator(".sheet").boundingBox();
    const session = await p.context().newCDPSession(p);
    const touch = (type, xs) =>
      session.send("Input.dispatchTouchEvent", {
        type,
        touchPoints: xs.map((x, id) => ({ x: box.x + x, y: box.y + 120, id })),
      });
    const whole = await times(p);
    await touch("touchStart", [400, 500]);
    for (let i = 1; i <= 6; i++) await touch("touchMove", [400 - i * 25, 500 + i * 25]);
    await touch("touchEnd", []);
    await until("pulled closer", async () => (await times(p)).join() !== whole.join());
    const near = await times(p);
    await touch("touchStart", [300]);
    for (let i = 1; i <= 6; i++) await touch("touchMove", [300 + i * 40]);
    await touch("touchEnd", []);
    await until("moved", async () => (await times(p)).join() !== near.join());
  },

  async Cursor_and_measuring_work_by_pointer_on_the_live_cell_and_on_the_panel({ page }) {
    for (const place of ["desk", "touch"]) {
      const p = await page("?at=250&live=1", { place });
      await labelled(p);
      const box = await p.locator(".sheet").boundingBox();
      const press = (target) => (place === "desk" ? target.click() : target.tap());
      if (place === "desk") await p.mouse.move(box.x + 300, box.y + 200);
      else await p.touchscreen.tap(box.x + 300, box.y + 120);
      await until("cursor", async () => /^cursor \d:\d\d$/.test(await text(p, "cursor-text")));
      const [, minutes, seconds] = /(\d):(\d\d)/.exec(await text(p, "cursor-text"));
      const at = Number(minutes) * 60 + Number(seconds);
      const truth = await p.evaluate((t) => window.rig.record.values[2][Math.round(t * 10)], at);
      // The moment is written to the second; in that second a ramp goes by some kelvin.
      assert.ok(Math.abs(Number(await text(p, "value-tc3")) - truth) < 3, "the values are those of that moment");
      if (place === "touch") {
        await press(p.getByTestId("measure"));
        await p.touchscreen.tap(box.x + 260, box.y + 120);
        await p.touchscreen.tap(box.x + 420, box.y + 120);
        await until("measured", async () => /s · .*K\/s/.test(await text(p, "cursor-text")));
        await press(p.getByTestId("to-now"));
        await until("back to now", async () => (await p.getByTestId("cursor-text").count()) === 0);
        assert.equal(await p.getByTestId("measure").isVisible(), false, "the panel is as it was");
      }
    }
  },

  async A_picture_is_frozen_by_pointer_and_by_touch({ page }) {
    for (const place of ["desk", "touch"]) {
      const p = await page("?at=150&live=1", { place });
      await labelled(p);
      const box = await p.locator(".sheet").boundingBox();
      if (place === "desk") {
        await p.locator(".sheet").hover();
        await p.getByTestId("freeze").click();
      } else {
        await p.touchscreen.tap(box.x + 300, box.y + 120);
        await p.getByTestId("freeze").tap();
      }
      await until("held", async () => (await p.getByTestId("held").count()) === 1);
      const held = await text(p, "now");
      await p.evaluate(() => window.rig.play(20));
      await settled(p);
      assert.equal(await text(p, "now"), held);
      if (place === "desk") await p.getByTestId("freeze").click();
      else await p.getByTestId("to-now").tap();
      await until("goes on", async () => (await text(p, "now")) !== held);
      assert.equal(await p.getByTestId("held").count(), 0);
    }
  },

  async A_moment_is_annotated_by_key_alone({ page }) {
    const p = await page("?at=120&live=1#/cell/1/run/209");
    await drawn(p);
    for (let i = 0; i < 6; i++) await p.keyboard.press("Shift+ArrowLeft");
    await p.getByTestId("annotate").focus();
    await p.keyboard.press("Enter");
    await p.getByTestId("ask").waitFor();
    await p.keyboard.type("plug seated");
    await p.keyboard.press("Tab");
    await p.keyboard.type("service engineer");
    await p.keyboard.press("Enter");
    await until("drawn", async () => (await p.getByTestId("annotation").count()) === 1);
  },

  async Looks_units_times_and_keys_are_chosen_by_pointer_and_by_key({ page }) {
    const p = await page("?at=60&live=1");
    await labelled(p);
    await p.locator(".rail-foot").click();
    await p.getByTestId("keys").waitFor({ state: "visible" });
    await p.getByLabel("dark", { exact: true }).check();
    assert.equal(await p.locator("html").getAttribute("data-theme"), "dark");
    // Within a group the arrow keys choose.
    await p.keyboard.press("ArrowRight");
    await until("high contrast", async () => (await p.locator("html").getAttribute("data-theme")) === "contrast");
    await p.getByLabel("UTC", { exact: true }).check();
    await p.getByLabel("K", { exact: true }).focus();
    await p.keyboard.press("Space");
    await p.getByLabel("hPa", { exact: true }).focus();
    await p.keyboard.press("Space");
    await p.keyboard.press("Escape");
    await until("UTC", async () => /UTC$/.test(await text(p, "clock")));
    const kelvin = Number.parseFloat(await text(p, "value-tc3"));
    const truth = await p.evaluate(() => window.rig.record.values[2].at(-1));
    assert.ok(Math.abs(kelvin - truth - 273.15) < 3, `${kelvin} K against ${truth} °C`);
    assert.match(await text(p, "value-chamber"), /hPa$/);
    await p.keyboard.press("u");
    await until("local", async () => !/UTC$/.test(await text(p, "clock")));
    for (const unit of ["Pa", "Torr", "mbar"]) {
      await p.keyboard.press("?");
      await p.getByLabel(unit, { exact: true }).check();
      await p.keyboard.press("Escape");
      await p.getByTestId("keys").waitFor({ state: "hidden" });
      await until(unit, async () => (await text(p, "value-chamber")).endsWith(unit));
    }
  },

  async Pages_are_printed_and_curves_saved_by_key({ page }) {
    const p = await page("?at=120&live=1#/cell/1/run/209");
    await drawn(p);
    await p.evaluate(() => {
      window.printed = 0;
      window.print = () => {
        window.printed++;
      };
    });
    await p.getByTestId("print").focus();
    await p.keyboard.press("Enter");
    await p.getByTestId("print").click();
    assert.equal(await p.evaluate(() => window.printed), 2);
    await p.getByTestId("save-picture").focus();
    const [download] = await Promise.all([p.waitForEvent("download"), p.keyboard.press("Enter")]);
    assert.equal(download.suggestedFilename(), "cell-1-run-209.png");
    assert.equal((await readFile(await download.path())).subarray(1, 4).toString("latin1"), "PNG");
  },

  async Runs_are_searched_by_product_decision_and_date({ page }) {
    const p = await page("?at=120&live=1#/runs");
    const rows = () => p.locator(".run-row").count();
    await until("rows", async () => (await rows()) === 30);
    await p.keyboard.press("/");
    await p.keyboard.type("gate");
    await until("in the address", async () => (await address(p)) === "#/runs?product=gate");
    await until("of that product", async () => (await p.getByTestId("run-211").count()) === 0);
    assert.ok((await rows()) > 0);
    await p.getByTestId("clear").click();
    await p.locator("select[name=decision]").selectOption("hold");
    await until("on hold", async () => (await p.locator(".run-row .decided").count()) === (await rows()));
    await p.getByTestId("clear").click();
    await p.locator("input[name=from]").fill("2026-11-25");
    await p.locator("input[name=to]").fill("2026-11-25");
    await until("of that day", async () => (await p.locator(".run-row", { hasNotText: "25 Nov 2026" }).count()) === 0);
    assert.match(await address(p), /from=2026-11-25&to=2026-11-25/);
  },

  async Two_carriers_are_seen_at_once_and_changed_by_pointer_touch_and_key({ page }) {
    for (const place of ["desk", "touch", "phone"]) {
      const p = await page(scenes["cell-two-carriers"].query, { place });
      await stage(p, scenes["cell-two-carriers"]);
      await until("both", async () => (await p.locator(".carriers button").count()) === 2);
      assert.match(await text(p, "carrier-A"), /^carrier A · \S/, "each says in which phase it is");
      const pressed = (name) => p.getByTestId(`carrier-${name}`).getAttribute("aria-pressed");
      const press = (name) =>
        place === "desk" ? p.getByTestId(`carrier-${name}`).click() : p.getByTestId(`carrier-${name}`).tap();
      await press("B");
      await until("B", async () => (await pressed("B")) === "true");
      if (place === "desk") {
        assert.equal(await p.getByTestId("ribbon-heat A").count(), 1, "the other carrier's phases stay in sight");
        assert.equal(await p.getByTestId("label-tc1").count(), 0, "boards of A are not drawn with B");
        assert.deepEqual(await overlaps(p), []);
      }
      await press("A");
      await until("A", async () => (await pressed("A")) === "true");
      await p.keyboard.press("c");
      await until("B by key", async () => (await pressed("B")) === "true");
      assert.deepEqual(await spilled(p), [], place);
      await p.context().close();
    }
  },

  async Long_work_says_how_far_it_is_and_can_be_ended({ page }) {
    for (const place of ["desk", "touch"]) {
      const p = await page("?at=120&live=1#/runs", { place });
      const press = (id) => (place === "desk" ? p.getByTestId(id).click() : p.getByTestId(id).tap());
      const begin = async (pace) => {
        await press("rejudge");
        await p.locator("select[name=channel]").selectOption("tc2");
        await p.locator("textarea[name=reason]").fill("sensor 2 read high");
        await p.locator("input[name=by]").fill("quality");
        await press("ask-send");
        assert.match(await text(p, "ask-said"), /by how much/i);
        await p.locator("input[name=high]").fill("3,1");
        await p.evaluate((n) => {
          window.record.upkeep.pace = n;
        }, pace);
        await press("ask-send");
      };
      await begin(1);
      await until("under way", async () => /Judging once more: [2-9] of 24 runs/.test(await text(p, "work")));
      assert.match(await text(p, "work"), /About \d+\ss left/);
      assert.equal(await p.getByTestId("rejudge").isDisabled(), true, "one at a time");
      await press("work-cancel");
      await until("ended", async () => (await p.getByTestId("work").getAttribute("data-state")) === "cancelled");
      assert.match(await text(p, "work"), /Ended after \d of 24 runs\. What was judged until then is not kept/);
      await press("work-close");
      await begin(9);
      await until("done", async () => /24 runs judged once more: 2 have another verdict/.test(await text(p, "work")));
      assert.match(await text(p, "work"), /Run 210.*Fail, now Pass/s);
      assert.deepEqual(
        (await p.evaluate(() => window.record.upkeep.ordered)).map((one) => one.readHigh),
        [{ tc2: 3.1 }, { tc2: 3.1 }],
      );
      // A place that is left and come back to still has it.
      await p.evaluate(() => {
        location.hash = "#/alarms";
      });
      await p.getByTestId("quality-told").waitFor();
      await p.goBack();
      await p.getByTestId("work").waitFor();
      await p.getByTestId("work").getByRole("link").first().focus();
      await p.keyboard.press("Enter");
      await until("the run", async () => (await address(p)) === "#/cell/1/run/203");
      await p.context().close();
    }
  },

  async A_step_that_cannot_be_undone_says_what_is_lost_and_wants_the_number_typed({ page }) {
    const p = await page("?at=120&live=1#/cell/1/run/209");
    await drawn(p);
    await p.getByTestId("delete-readings").click();
    await p.getByTestId("ask").waitFor();
    assert.match(await text(p, "ask"), /Lost for good: 3612 entries.*cannot be undone.*Kept: its figures, verdict/s);
    await p.keyboard.type("208");
    await p.locator("textarea[name=reason]").fill("customer asked for it");
    await p.locator("input[name=by]").fill("administrator");
    await p.getByTestId("ask-send").click();
    assert.match(await text(p, "ask-said"), /Type 209/);
    assert.equal(await p.evaluate(() => window.record.upkeep.deleted.length), 0);
    await p.locator("input[name=number]").fill("209");
    // No right to do this: the service says who can.
    await p.evaluate(() => {
      window.record.upkeep.refuseDeletion = true;
    });
    await p.getByTestId("ask-send").click();
    await until("refused", async () => /only by somebody at the node/.test(await text(p, "ask-said")));
    assert.equal(await p.locator("textarea[name=reason]").inputValue(), "customer asked for it");
    await p.evaluate(() => {
      window.record.upkeep.refuseDeletion = false;
    });
    await p.locator("input[name=number]").focus();
    await p.keyboard.press("Enter");
    await until("done", async () => /readings of run 209 are deleted/.test(await text(p, "deletion-said")));
    assert.deepEqual(await p.evaluate(() => window.record.upkeep.deleted), [
      { run: 209, by: "administrator", reason: "customer asked for it", entries: 3612 },
    ]);
  },

  async Codes_for_a_scanner_are_drawn_and_printed({ page, axe }) {
    const p = await page("?at=120&live=1#/runs");
    await p.keyboard.press("?");
    await p.getByTestId("codes-link").click();
    await until("the codes", async () => (await address(p)) === "#/codes");
    assert.equal(await p.locator(".code").count(), 13);
    await p.locator("textarea[name=people]").fill("ANNA\nJÜRGEN");
    await until("a name", async () => (await p.getByTestId("code-by").count()) === 2);
    assert.match(await p.getByTestId("code-by").nth(1).textContent(), /without accents/);
    assert.match(await p.getByTestId("code-by").first().textContent(), /%BY-ANNA/);
    assert.equal((await p.locator("textarea[name=people]").inputValue()).length, 11, "what was typed stays");
    assert.deepEqual(await violations(p, axe), []);
    for (const place of ["touch", "phone"]) {
      const small = await page("?at=120&live=1#/codes", { place, scheme: "dark" });
      assert.deepEqual(await spilled(small), [], place);
      assert.deepEqual(await violations(small, axe), [], place);
    }
  },
};
