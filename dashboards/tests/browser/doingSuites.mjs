import assert from "node:assert/strict";
import { inked, settled, spilled, until, violations } from "./look.mjs";

const text = (page, id) => page.getByTestId(id).first().textContent();
const drawn = (page) => until("ink", async () => (await inked(page)) > 500);

/** Tests of what people do at a page: decide, write, answer. */
export const doingSuites = {
  async A_decision_is_made_by_pointer_touch_and_key_and_undone_by_a_further_one({ page }) {
    for (const place of ["desk", "touch", "phone"]) {
      const p = await page("?at=120&live=1#/cell/1/run/209", { place });
      await drawn(p);
      await until("none yet", async () => /Not yet made/.test(await text(p, "decision")));
      const press = (id) => (place === "desk" ? p.getByTestId(id).click() : p.getByTestId(id).tap());
      if (place === "touch") await press("decide");
      await press("decide-release");
      await p.getByTestId("ask").waitFor();
      // The first field that is empty has the keyboard; without a reason nothing is sent.
      assert.equal(await p.evaluate(() => document.activeElement.name), "reason");
      await press("ask-send");
      assert.match(await text(p, "ask-said"), /Say in a few words why/);
      await p.keyboard.type("all limits met");
      await p.locator("input[name=by]").fill("process engineer");
      await p.locator("input[name=reference]").fill("QA-17");
      await press("ask-send");
      await until("released", async () =>
        /released\s+by process engineer, .*: all limits met · QA-17$/.test(await text(p, "decision")),
      );
      assert.equal(await p.getByTestId("decide-release").getAttribute("aria-pressed"), "true");
      assert.equal(await p.getByTestId("ask").count(), 0, "the dialog has gone");
      // By key alone, and over the first one: it stays below.
      await p.getByTestId("decide-inspect").focus();
      await p.keyboard.press("Enter");
      await p.getByTestId("ask").waitFor();
      assert.match(await text(p, "ask"), /So far: released, by process engineer/);
      await p.keyboard.type("U3 on boards 2 and 4");
      await p.keyboard.press("Tab");
      await p.keyboard.type("shadow in the X-ray");
      await p.keyboard.press("Tab");
      await p.keyboard.press("Enter");
      await until("to inspect", async () =>
        /^to inspect \(U3 on boards 2 and 4\)\s+by process engineer, .*: shadow in the X-ray$/.test(
          await text(p, "decision"),
        ),
      );
      await p.locator(".decided-before summary").click();
      assert.match(await p.locator(".decided-before li").textContent(), /released\s+by process engineer/);
      assert.match(await text(p, "sentence"), /^Pass/, "a decision leaves the verdict as it is");
      await p.context().close();
    }
  },

  async A_decision_that_does_not_arrive_keeps_what_was_typed({ page }) {
    const p = await page("?at=120&live=1#/cell/1/run/209");
    await drawn(p);
    await p.getByTestId("decide-hold").click();
    await p.locator("textarea[name=reason]").fill("smell");
    await p.locator("input[name=by]").fill("shift lead");
    await p.evaluate(() => {
      window.record.refuse = 1;
    });
    await p.getByTestId("ask-send").click();
    await until("said", async () => /Not sent: the service did not answer/.test(await text(p, "ask-said")));
    assert.equal(await p.locator("textarea[name=reason]").inputValue(), "smell");
    await p.getByTestId("ask-send").click();
    await until("on hold", async () => /^on hold/.test(await text(p, "decision")));
    await p.reload();
    await drawn(p);
    await p.getByTestId("decide-scrap").click();
    assert.equal(await p.locator("input[name=by]").inputValue(), "shift lead", "the name is remembered");
    await p.keyboard.press("Escape");
    await until("gone", async () => (await p.getByTestId("ask").count()) === 0);
  },

  async At_the_end_of_a_run_the_cell_asks_for_the_decision({ page }) {
    for (const place of ["desk", "touch", "phone"]) {
      const p = await page("?at=300&live=1", { place });
      await until("running", async () => /No action asked/.test(await text(p, "sentence")));
      assert.equal(await p.getByTestId("decision-block").count(), 0, "nothing to decide while it runs");
      await p.evaluate(() => window.rig.play(90));
      await until("ended", async () => /^Pass/.test(await text(p, "sentence")));
      await until("block", async () => (await p.getByTestId("decision-block").count()) === 1);
      if (place === "touch") {
        const main = await p.getByTestId("decide").boundingBox();
        assert.ok(main.height >= 88, `${main.height} px for gloves`);
        await p.getByTestId("decide").tap();
      }
      await p.getByTestId("decide-release").click();
      await p.locator("textarea[name=reason]").fill("as usual");
      await p.locator("input[name=by]").fill("quality");
      await p.getByTestId("ask-send").click();
      await until("released", async () => /^released\s+by quality/.test(await text(p, "decision")));
      const box = await p.getByTestId("decide-hold").boundingBox();
      if (place === "touch") assert.ok(box.height >= 88, `${box.height} px for gloves`);
      assert.deepEqual(await spilled(p), [], place);
      await p.context().close();
    }
  },

  async Runs_that_wait_for_a_person_are_listed_and_found_by_decision({ page }) {
    const p = await page("?at=120&live=1#/runs");
    await until("rows", async () => (await p.locator(".run-row").count()) === 30);
    await p.locator("select[name=decision]").selectOption("waiting");
    await until("waiting", async () => /run[s]? wait/.test(await text(p, "sentence")));
    assert.equal(await p.evaluate(() => location.hash), "#/runs?decision=waiting");
    assert.equal(await p.locator('.run-row[data-verdict="pass"]').count(), 0, "a pass waits for nobody");
    await p.getByTestId("run-202").click();
    await drawn(p);
    await p.getByTestId("decide-scrap").click();
    await p.locator("textarea[name=reason]").fill("hole in the record");
    await p.locator("input[name=by]").fill("quality");
    await p.getByTestId("ask-send").click();
    await until("scrapped", async () => /^scrapped/.test(await text(p, "decision")));
    await p.evaluate(() => {
      location.hash = "#/cell/1/runs?decision=scrap";
    });
    await until("found", async () => (await p.getByTestId("run-202").count()) === 1);
    assert.equal(await p.locator(".run-row").count(), 1);
    assert.match(await text(p, "run-202"), /scrapped/);
  },

  async The_record_of_a_run_is_edited_and_every_change_stays({ page }) {
    for (const place of ["desk", "phone"]) {
      const p = await page("?at=120&live=1#/cell/1/run/209", { place });
      await drawn(p);
      await p.getByTestId("edit-record").click();
      await p.locator("input[name=product]").fill("Gate driver v4");
      await p.locator("input[name=serials]").fill("GD-7, GD-8");
      await p.locator("input[name=load]").fill("4");
      await p.getByTestId("ask-send").click();
      assert.match(await text(p, "ask-said"), /Give your name/);
      await p.locator("input[name=by]").fill("shift lead");
      await p.getByTestId("ask-send").click();
      await until("written", async () => /Gate driver v4.*GD-7, GD-8.*4/s.test(await text(p, "record")));
      await p.getByTestId("edit-record").click();
      await p.locator("input[name=product]").fill("Gate driver v3");
      await p.locator("input[name=reason]").fill("misread");
      await p.getByTestId("ask-send").click();
      await until("again", async () => /changed 2 times/.test(await text(p, "record-changes")));
      await p.getByTestId("record-changes").locator("summary").click();
      const newest = await p.getByTestId("record-changes").locator("li").first().textContent();
      assert.match(newest, /shift lead: product from “Gate driver v4” to “Gate driver v3” \(misread\)/);
      assert.doesNotMatch(newest, /serial/, "what was left as it was is no change");
      await p.context().close();
    }
  },

  async An_alarm_is_put_aside_and_brought_back_by_pointer_touch_and_key({ page }) {
    for (const place of ["desk", "touch", "phone"]) {
      const p = await page("?at=225&live=1#/alarms", { place });
      await p.evaluate(() => window.rig.tooHot(1, 20));
      const alarm = p.getByTestId("alarm-tooHot/tc2");
      await alarm.waitFor();
      const press = (target) => (place === "desk" ? target.click() : target.tap());
      await press(alarm.getByTestId("order-shelve"));
      assert.match(await text(p, "ask"), /Too hot: Board 1 choke/);
      await p.locator("select[name=minutes]").selectOption("60");
      await press(p.getByTestId("ask-send"));
      assert.match(await text(p, "ask-said"), /Say in a few words why/);
      await p.locator("textarea[name=reason]").fill("bead being replaced");
      await p.locator("input[name=by]").fill("shift lead");
      await p.evaluate(() => {
        window.rig.refuseOrder = "minutes is 60; an alarm can be put aside for up to 30 minutes.";
      });
      await press(p.getByTestId("ask-send"));
      await until("refused", async () => /put aside for up to 30 minutes/.test(await text(p, "ask-said")));
      await p.locator("select[name=minutes]").selectOption("30");
      await press(p.getByTestId("ask-send"));
      const hidden = p.getByTestId("hidden-tooHot/tc2");
      await hidden.waitFor();
      assert.equal(await alarm.count(), 0);
      assert.match(await hidden.textContent(), /put it aside.*until \d\d:\d\d:\d\d · shift lead: bead being replaced/s);
      assert.match(await text(p, "sentence"), /^No alarm stands/);
      // Back by key: the name is known, so two presses do.
      await hidden.getByTestId("order-unshelve").focus();
      await p.keyboard.press("Enter");
      await p.getByTestId("ask").waitFor();
      await p.keyboard.press("Enter");
      await alarm.waitFor();
      await press(alarm.getByTestId("order-outOfService"));
      await p.locator("textarea[name=reason]").fill("sensor gone for calibration");
      await press(p.getByTestId("ask-send"));
      await until("out of service", async () => (await hidden.getAttribute("data-state")) === "outOfService");
      await press(hidden.getByTestId("order-returnToService"));
      await press(p.getByTestId("ask-send"));
      await alarm.waitFor();
      await press(alarm.getByTestId("order-did"));
      await p.locator("textarea[name=comment]").fill("programme left to end");
      await press(p.getByTestId("ask-send"));
      await until("seen", async () => (await alarm.getAttribute("data-state")) === "acknowledged");
      assert.deepEqual(await p.evaluate(() => window.rig.said), ["shift lead: programme left to end"]);
      assert.deepEqual(await spilled(p), [], place);
      await p.context().close();
    }
  },

  async What_somebody_did_is_said_on_the_cell_by_pointer_touch_and_key({ page }) {
    for (const place of ["desk", "touch", "phone"]) {
      const p = await page("?at=225&live=1", { place });
      await p.evaluate(() => window.rig.tooHot(1, 20));
      await until("act", async () => (await p.getByTestId("prompt").getAttribute("data-tone")) === "act");
      if (place === "desk") await p.keyboard.press("w");
      else await p.getByTestId("did").tap();
      await p.locator("textarea[name=comment]").fill("held both boards");
      await p.locator("input[name=by]").fill("shift lead");
      if (place === "phone") await p.getByTestId("ask-send").tap();
      else await p.getByTestId("ask-send").click();
      await until("seen", async () => (await p.getByTestId("acknowledge").count()) === 0);
      assert.deepEqual(await p.evaluate(() => window.rig.said), ["shift lead: held both boards"]);
      assert.deepEqual(await spilled(p), [], place);
      await p.context().close();
    }
  },

  async What_was_done_and_how_well_alarms_serve_stand_below({ page }) {
    const p = await page("?at=120&live=1#/alarms");
    await until("rows", async () => (await p.getByTestId("episode").count()) >= 33);
    assert.match(await p.getByTestId("episode").nth(1).textContent(), /shift lead: filter ordered/);
    await until("a week", async () => (await p.getByTestId("quality-told").textContent()).startsWith("90"));
    assert.match(await text(p, "quality-chattering"), /^1/);
    assert.match(await p.getByTestId("frequent").nth(1).textContent(), /Too hot: Board 1 choke.*22 times · chatter/);
    await p.getByTestId("span-day").click();
    await until("a day", async () => (await p.getByTestId("quality-told").textContent()).startsWith("27"));
    assert.equal(await p.evaluate(() => location.hash), "#/alarms?span=day");
    const other = await page("?at=120#/alarms?span=day");
    await until("a day there too", async () => /^27/.test(await text(other, "quality-told")));
    await p.getByTestId("episode").nth(1).getByRole("link").click();
    await drawn(p);
    assert.match(await p.evaluate(() => location.hash), /^#\/cell\/1\/run\/207\?at=2026-11-25T11:47/);
    await until("the cursor at that second", async () => (await p.getByTestId("cursor").count()) === 1);
  },

  async A_moment_is_annotated_on_a_run_and_while_it_goes_on({ page }) {
    const p = await page("?at=120&live=1#/cell/1/run/209");
    await drawn(p);
    for (let i = 0; i < 6; i++) await p.keyboard.press("Shift+ArrowLeft");
    await p.locator(".sheet").hover();
    await p.getByTestId("annotate").click();
    assert.match(await text(p, "ask"), /What was at \d:\d\d/);
    await p.keyboard.type("plug seated");
    await p.locator("input[name=by]").fill("service engineer");
    await p.getByTestId("ask-send").click();
    await until("written", async () => /@\d:\d\d\.\d plug seated/.test(await text(p, "record")));
    assert.equal(await p.getByTestId("annotation").count(), 1);
    assert.match(await text(p, "record-changes"), /changed once/);
    await p.evaluate(() => {
      location.hash = "#/cell/1";
    });
    await until("live", async () => /No action asked/.test(await text(p, "sentence")));
    await p.locator(".sheet").hover();
    await p.getByTestId("annotate").click();
    await p.keyboard.type("fan switched on");
    await p.getByTestId("ask-send").click();
    await until("on the curve", async () => (await p.getByTestId("annotation").count()) === 1);
  },

  async A_scanned_code_and_a_wired_button_do_the_main_actions({ page }) {
    const p = await page("?at=225&live=1", { place: "touch" });
    const scan = async (code) => {
      for (const letter of `%${code}`) await p.keyboard.press(letter);
      await p.keyboard.press("Enter");
    };
    await until("running", async () => /No action asked/.test(await text(p, "sentence")));
    await p.evaluate(() => window.rig.tooHot(1, 20));
    await until("alarm", async () => (await p.getByTestId("acknowledge").count()) === 1);
    // The letters of a code have no meaning of their own: A would have answered the alarm.
    await scan("BY-ANNA");
    await settled(p);
    assert.equal(await p.evaluate(() => window.rig.acknowledged.length), 0);
    await scan("SEEN");
    await until("seen", async () => (await p.evaluate(() => window.rig.acknowledged.length)) === 1);
    assert.deepEqual(await p.evaluate(() => window.rig.said), ["ANNA: "]);
    await p.evaluate(() => {
      window.rig.coolAgain();
      window.rig.tooHot(2, 20);
    });
    await until("again", async () => (await p.getByTestId("acknowledge").count()) === 1);
    await p.keyboard.press("F8");
    await until("seen by the button", async () => (await p.evaluate(() => window.rig.acknowledged.length)) === 2);
    // At the end of the run: a decision by codes alone, with gloves on.
    await p.evaluate(() => {
      location.hash = "#/cell/1/run/209";
    });
    await drawn(p);
    await until("papers", async () => /Not yet made/.test(await text(p, "decision")));
    await scan("HOLD");
    await p.getByTestId("ask").waitFor();
    await scan("WHY-SENT TO X-RAY");
    await scan("SEND");
    await until("on hold", async () => /^on hold\s+by ANNA, .*: SENT TO X-RAY$/.test(await text(p, "decision")));
    await scan("GD-188");
    await until("the board", async () => (await p.getByTestId("run-188").count()) === 1);
    await scan("FLOOR");
    await until("the floor", async () => (await p.locator(".tile").count()) === 1);
  },

  async A_frozen_page_shows_nothing_old_as_live_when_it_thaws({ page }) {
    const p = await page("?at=120&live=1");
    await until("live", async () => /No action asked/.test(await text(p, "sentence")));
    const session = await p.context().newCDPSession(p);
    await session.send("Page.enable");
    await session.send("Page.setWebLifecycleState", { state: "frozen" });
    await new Promise((resolve) => setTimeout(resolve, 3000));
    await session.send("Page.setWebLifecycleState", { state: "active" });
    // What was missed is fetched: the run goes on without a hole, and the newest reading is young.
    await until("young again", async () => /readings 0\.\d\ss old/.test(await text(p, "reading-age")));
    assert.equal(await p.getByTestId("hatch").count(), 0);
    const elapsed = await text(p, "now");
    await until("goes on", async () => (await text(p, "now")) !== elapsed);
  },

  async Axe_finds_nothing_where_people_decide({ page, axe }) {
    for (const [place, scheme] of [
      ["desk", "light"],
      ["touch", "dark"],
      ["phone", "light"],
    ]) {
      const p = await page("?at=120&live=1#/cell/1/run/209", { place, scheme });
      await drawn(p);
      await until("papers", async () => /Not yet made/.test(await p.locator(".decision").textContent()));
      assert.deepEqual(await violations(p, axe), [], `${place} ${scheme}`);
      if (place === "touch") await p.getByTestId("decide").tap();
      await p.getByTestId("decide-inspect").click();
      assert.deepEqual(await violations(p, axe), [], `${place} ${scheme} dialog`);
      await p.context().close();
    }
  },
};
