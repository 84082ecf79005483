import assert from "node:assert/strict";
import { overlaps, spilled, until, violations } from "./look.mjs";

const text = (page, id) => page.getByTestId(id).first().textContent();
const orders = (page) => page.evaluate(() => window.rig.runOrders);

/** Tests of what is said of a run while it goes on, and of runs that are evacuated several times. */
export const runSuites = {
  async A_run_is_named_acted_in_ended_and_begun_by_key_alone({ page }) {
    const p = await page("?at=120&live=1");
    await until("running", async () => /No action asked/.test(await text(p, "sentence")));
    const press = async (...keys) => {
      for (const key of keys) await p.keyboard.press(key);
    };
    // The dialog is fetched when it is first asked for.
    const choose = async (order) => {
      await until("nothing is asked", async () => (await p.getByTestId("ask").count()) === 0);
      // A dialog that Escape is about to close would keep the next key.
      await p.getByTestId("run-orders").waitFor({ state: "hidden" });
      await press("r");
      await p.getByTestId("run-orders").waitFor({ state: "visible" });
      await p.getByTestId(`run-${order}-B`).focus();
      await press("Enter");
      await p.getByTestId("ask").waitFor({ state: "visible" });
    };
    await choose("intervention");
    assert.match(await text(p, "ask"), /switches nothing at the machine/);
    await p.keyboard.type("programme stopped at the panel");
    await press("Tab");
    await p.keyboard.type("Anna");
    await press("Enter");
    await until("said", async () => (await orders(p)).length === 1);
    await choose("kind");
    await p.locator("select[name=kind]").focus();
    await p.keyboard.type("maint");
    await press("Tab", "Enter");
    await until("named", async () => (await orders(p)).length === 2);
    await until("nothing is asked", async () => (await p.getByTestId("ask").count()) === 0);
    await press("r");
    await until("shown", async () => /run \d+ goes on: maintenance/.test(await text(p, "run-of-B")));
    assert.match(await text(p, "run-of-A"), /no run goes on/);
    await press("Escape");
    await choose("end");
    // Nothing ends without a name.
    await p.locator("input[name=by]").fill("");
    await press("Enter");
    assert.match(await text(p, "ask-said"), /Give your name/);
    await p.keyboard.type("Anna");
    await press("Enter");
    await until("ended", async () => /^ended 2:0\d$/.test(await text(p, "now")));
    await choose("begin");
    await p.locator("select[name=kind]").focus();
    await p.keyboard.type("verif");
    await press("Tab");
    await p.keyboard.type("12");
    await press("Tab", "Enter");
    await until("begun", async () => (await orders(p)).length === 4);
    await until("it runs", async () => !/^ended/.test(await text(p, "now")));
    assert.deepEqual(await orders(p), [
      { carrier: "B", order: "intervention", by: "Anna", what: "programme stopped at the panel" },
      { carrier: "B", order: "kind", by: "Anna", kind: "maintenance" },
      { carrier: "B", order: "end", by: "Anna" },
      { carrier: "B", order: "begin", by: "Anna", kind: "verification", recipe: 12 },
    ]);
  },

  async A_run_is_named_acted_in_ended_and_begun_by_pointer_and_by_touch({ page }) {
    for (const place of ["desk", "touch", "phone"]) {
      const p = await page("?at=120&live=1", { place });
      const press = (id) => (place === "desk" ? p.getByTestId(id).click() : p.getByTestId(id).tap());
      await until("running", async () => /No action asked/.test(await text(p, "sentence")));
      const least = place === "touch" ? 88 : place === "phone" ? 44 : 24;
      const large = async (id) => {
        const { height } = await p.getByTestId(id).boundingBox();
        assert.ok(height >= least, `${place}: ${id} ${height} px`);
      };
      await large("run-control");
      assert.deepEqual(await spilled(p), [], place);
      const choose = async (order) => {
        await press("run-control");
        await p.getByTestId("run-orders").waitFor({ state: "visible" });
        await large(`run-${order}-B`);
        await press(`run-${order}-B`);
        await p.getByTestId("ask").waitFor({ state: "visible" });
        await large("ask-send");
        const over = await p.getByTestId("ask").evaluate((dialog) => dialog.scrollWidth - dialog.clientWidth);
        assert.ok(over <= 0, `${place}: ${order} is ${over} px too wide`);
      };
      await choose("intervention");
      await p.locator("textarea[name=what]").fill("programme stopped");
      await p.locator("input[name=by]").fill("Anna");
      await press("ask-send");
      await until("said", async () => (await orders(p)).length === 1);
      await choose("kind");
      assert.equal(await p.locator("select[name=kind]").inputValue(), "profile", "as it is now");
      await p.locator("select[name=kind]").selectOption("empty");
      await press("ask-send");
      await until("named", async () => (await orders(p)).length === 2);
      await choose("end");
      await press("ask-send");
      await until("ended", async () => (await orders(p)).length === 3);
      await choose("begin");
      await press("ask-send");
      await until("begun", async () => (await orders(p)).length === 4);
      assert.deepEqual(
        (await orders(p)).map(({ order, kind, by }) => [order, kind, by]),
        [
          ["intervention", undefined, "Anna"],
          ["kind", "empty", "Anna"],
          ["end", undefined, "Anna"],
          ["begin", null, "Anna"],
        ],
      );
      assert.deepEqual(await spilled(p), [], place);
      await p.context().close();
    }
  },

  async What_is_said_of_a_run_and_not_taken_is_told_and_stays_typed({ page }) {
    const p = await page("?at=120&live=1");
    await until("running", async () => /No action asked/.test(await text(p, "sentence")));
    await p.getByTestId("run-control").click();
    await p.getByTestId("run-intervention-B").click();
    await p.locator("textarea[name=what]").fill("programme stopped");
    await p.locator("input[name=by]").fill("Anna");
    const typed = async () => {
      assert.equal(await p.locator("textarea[name=what]").inputValue(), "programme stopped");
      assert.equal(await p.locator("input[name=by]").inputValue(), "Anna");
      assert.deepEqual(await orders(p), []);
    };
    await p.evaluate(() => {
      window.record.refuse = 1;
    });
    await p.getByTestId("ask-send").click();
    await until("no answer", async () => /the service did not answer/.test(await text(p, "ask-said")));
    await typed();
    await p.evaluate(() => {
      window.rig.refuseOrder = "Its queue is full, or the service ends. Try again.";
    });
    await p.getByTestId("ask-send").click();
    await until("busy", async () => /^Not recorded: the service is busy/.test(await text(p, "ask-said")));
    await typed();
    // Meanwhile the run ends by itself.
    await p.evaluate(() => window.rig.play(300));
    await p.getByTestId("ask-send").click();
    await until("otherwise", async () =>
      /^Not recorded: the carrier stands otherwise by now\. Carrier B has no run/.test(await text(p, "ask-said")),
    );
    await typed();
  },

  async Axe_finds_nothing_where_a_run_is_named({ page, axe }) {
    for (const [place, scheme] of [
      ["desk", "light"],
      ["touch", "dark"],
      ["phone", "light"],
    ]) {
      const p = await page("?at=120&live=1", { place, scheme });
      await p.getByTestId("run-control").click();
      await p.getByTestId("run-orders").waitFor({ state: "visible" });
      assert.deepEqual(await violations(p, axe), [], `${place} ${scheme}`);
      await p.getByTestId("run-begin-A").click();
      assert.deepEqual(await violations(p, axe), [], `${place} ${scheme} question`);
      await p.context().close();
    }
  },

  async Several_vacuum_steps_are_drawn_and_named_each({ page }) {
    const names = (p) =>
      p
        .getByTestId("ribbon-vacuum")
        .locator("g[data-kind=past], g[data-kind=present]")
        .evaluateAll((all) => all.map((one) => one.dataset.phase));
    for (const place of ["desk", "touch"]) {
      const p = await page("?at=242&steps=3", { place });
      // In the second of three at 242 s: it holds.
      await until("so far", async () => (await names(p)).length === 5);
      assert.deepEqual(await names(p), ["evacuate", "hold", "vent", "evacuate", "hold"]);
      if (place === "desk") assert.match(await text(p, "figure-evacuations"), /Evacuations/);
      await p.evaluate(() => window.rig.play(30));
      await until("all", async () => (await names(p)).length === 9);
      const spans = (selector) =>
        p.locator(selector).evaluateAll((all) =>
          all.map((one) => {
            const { left, right } = one.getBoundingClientRect();
            return [left, right];
          }),
        );
      const pieces = await spans("[data-testid=ribbon-vacuum] rect.past");
      assert.equal(pieces.length, 9);
      pieces.forEach(([left, right], i) => {
        assert.ok(right > left, `${place}: piece ${i} has a width`);
        if (i > 0) assert.ok(left >= pieces[i - 1][1], `${place}: piece ${i} follows the one before`);
      });
      // One evacuation begins every 13 s, the first at 222 s of the run.
      const starts = [0, 3, 6].map((i) => pieces[i][0]);
      const aSecond = (starts[2] - starts[0]) / 26;
      const [[zero]] = await spans("[data-testid=ribbon-heat] rect.past");
      assert.ok(Math.abs((starts[1] - starts[0]) / aSecond - 13) < 1, `${place}: as far apart`);
      assert.ok(Math.abs((starts[0] - zero) / aSecond - 222) < 6, `${place}: ${(starts[0] - zero) / aSecond} s`);
      assert.deepEqual(await overlaps(p), [], place);
      assert.deepEqual(await spilled(p), [], place);
      if (place === "desk") {
        assert.equal(Number(await text(p, "figure-value-evacuations")), 3);
        await p.evaluate(() => {
          window.rig.play(95);
          window.setLive(true);
        });
        await until("judged", async () => /^Pass/.test(await text(p, "sentence")));
        assert.equal(await p.getByTestId("figure-evacuations").getAttribute("data-standing"), "inside");
      }
      await p.context().close();
    }
  },
};
