import assert from "node:assert/strict";
import { spilled, until } from "./look.mjs";

const text = (page, id) => page.getByTestId(id).first().textContent();
const address = (page) => page.evaluate(() => location.hash);
const times = (page) => page.locator(".axes text").allTextContents();
const labelled = (page) => until("labels", async () => (await page.locator(".label").count()) === 11);
const measured = /^−?\d+\.\d\ss · −?\d+\.\d\sK · −?[\d.]+\sK\/s · Board/;
/** What a run's hottest board read, from what the service hands out. */
const hottest = (page, run, at_s) =>
  page.evaluate(
    async ([number, at]) => {
      const path = `/api/v1/cells/1/runs/${number}/curves`;
      const { time_s, curves } = await window.record.ask(path, new AbortController().signal);
      let row = time_s.findLastIndex((t) => t <= at + 0.001);
      const boards = curves.filter((curve) => curve.channel.startsWith("tc"));
      while (boards.every((curve) => curve.quality[row] === "3")) row--;
      return Math.max(...boards.map((curve) => curve.values[row] ?? Number.NEGATIVE_INFINITY));
    },
    [run, at_s],
  );
/** Numbers of a text that writes minus as it is printed. */
const numbers = (written) =>
  written
    .replaceAll("−", "-")
    .match(/-?\d+(\.\d+)?/g)
    .map(Number);
const overlaid = (page) =>
  until("two bands", async () => ((await page.getByTestId("band-b-high").getAttribute("d")) ?? "").length > 1000);

/** Tests of closer looks that are handed on by their address. */
export const linkSuites = {
  async A_closer_look_at_the_live_cell_is_handed_on_by_its_address({ page }) {
    const p = await page("?at=250");
    await labelled(p);
    assert.equal(await address(p), "", "nothing is looked at closely");
    await p.keyboard.press("ArrowDown");
    for (let i = 0; i < 15; i++) await p.keyboard.press("Shift+ArrowLeft");
    await p.keyboard.press("+");
    await p.keyboard.press("m");
    await p.keyboard.press("Shift+ArrowRight");
    await p.keyboard.press("Shift+ArrowRight");
    await p.keyboard.press("f");
    await until("measured", async () => /^20\.0\ss · /.test(await text(p, "cursor-text")));
    await until("in the address", async () =>
      /^#\/cell\/1\?run=214&from=[\d.]+&to=[\d.]+&mark=\d+&cursor=\d+&held=2[\d.]+&channel=tc1$/.test(await address(p)),
    );
    const link = await address(p);
    const [seen, said, held] = [await times(p), await text(p, "cursor-text"), await text(p, "held")];
    // Somebody else opens it, later in the same run: the same stretch, measurement and held moment.
    const other = await page(`?at=340${link}`);
    await until("the same stretch", async () => (await times(other)).join() === seen.join());
    assert.equal(await text(other, "cursor-text"), said);
    // By its own clock the page goes on where the readings stand.
    const moment = /^Held at (4:\d\d), /.exec(held)[1];
    await until("held", async () => (await text(other, "held")).startsWith(`Held at ${moment}, `));
    assert.match(await other.getByTestId("label-tc1").getAttribute("class"), /chosen|strong/);
    await other.keyboard.press("0");
    await until("held as a whole", async () => (await text(other, "now")) === `held ${moment}`);
    // It goes on by the key, and the address is the plain one again.
    await other.keyboard.press("f");
    await until("goes on", async () => /^now [45]:\d\d$/.test(await text(other, "now")));
    await other.keyboard.press("Escape");
    await other.keyboard.press("Escape");
    await until(
      "plain again",
      async () => (await address(other)) === "#/cell/1" || (await address(other)) === "#/cell",
    );
    // The same page follows an address that is put into it.
    await other.evaluate((hash) => {
      location.hash = hash;
    }, link);
    await until("looked at anew", async () => (await times(other)).join() === seen.join());
  },

  async A_closer_look_taken_by_pointer_on_the_live_cell_is_in_its_address({ page }) {
    for (const place of ["desk", "touch"]) {
      const p = await page("?at=250#/cell/1", { place });
      await labelled(p);
      const box = await p.locator(".sheet").boundingBox();
      const height = place === "desk" ? 200 : 120;
      const at = (x) =>
        place === "desk" ? p.mouse.click(box.x + x, box.y + height) : p.touchscreen.tap(box.x + x, box.y + height);
      const press = (id) => (place === "desk" ? p.getByTestId(id).click() : p.getByTestId(id).tap());
      await (place === "desk" ? p.locator(".sheet").hover() : at(300));
      await press("measure");
      await at(260);
      await at(420);
      await until("measured", async () => measured.test(await text(p, "cursor-text")));
      await press("closer");
      await press("freeze");
      await until("in the address", async () =>
        /^#\/cell\/1\?run=214&from=[\d.]+&to=[\d.]+&mark=[\d.]+&cursor=[\d.]+&held=[\d.]+$/.test(await address(p)),
      );
      const said = await text(p, "cursor-text");
      const other = await page(`?at=340${await address(p)}`, { place });
      await until("the same measurement", async () => (await text(other, "cursor-text").catch(() => "")) === said);
      const held = async (one) => /^Held at (\d:\d\d)/.exec(await text(one, "held"))[1];
      assert.equal(await held(other), await held(p));
      await press("to-now");
      await until("out of the address", async () => (await address(p)) === "#/cell/1");
    }
  },

  async A_closer_look_at_a_run_that_has_ended_since_leads_to_the_record({ page }) {
    const p = await page("?at=120#/cell/1?run=209&from=180&to=240&mark=190&cursor=230&held=235&channel=tc3");
    await until("the run of the record", async () => (await p.locator("h1").textContent()) === "Run 209");
    await until("measured", async () => /^40\.0\ss · .*K\/s · Board 2 edge$/.test(await text(p, "cursor-text")));
    await until("without what a run of the record does not have", async () => !(await address(p)).includes("held"));
    assert.equal(await address(p), "#/cell/1/run/209?from=180&to=240&mark=190&cursor=230&channel=tc3");
    assert.equal(await p.getByTestId("held").count(), 0);
    // A link to the run that goes on leads to where it goes on, and looks at the same there.
    await p.evaluate(() => {
      location.hash = "#/cell/1?run=214&mark=40&cursor=60";
    });
    await until("measured live", async () => /^20\.0\ss · /.test(await text(p, "cursor-text")));
    assert.match(await text(p, "now"), /^now 2:0\d$/);
    // What is nowhere is said, once.
    await p.evaluate(() => {
      location.hash = "#/cell/1?run=9999&mark=40&cursor=60";
    });
    await until("not there", async () => /9999/.test(await text(p, "sentence")));
    assert.equal(await address(p), "#/cell/1/run/9999?mark=40&cursor=60");
  },

  async Two_points_are_measured_on_two_runs_over_each_other_by_key_pointer_and_touch({ page }) {
    const p = await page("?at=120#/cell/1/run/210/over/204");
    await overlaid(p);
    await p.locator(".sheet").hover({ position: { x: 400, y: 100 } });
    await p.mouse.move(5, 500);
    for (let i = 0; i < 18; i++) await p.keyboard.press("Shift+ArrowLeft");
    await p.keyboard.press("m");
    await p.keyboard.press("Shift+ArrowRight");
    await p.keyboard.press("Shift+ArrowRight");
    const said = () => text(p, "cursor-text");
    await until("measured", async () =>
      /^20\.0\ss, the hottest of each · 210: .*K\/s · 204: .*K\/s$/.test(await said()),
    );
    await until("in the address", async () => /\/over\/204\?mark=\d+&cursor=\d+$/.test(await address(p)));
    const [from, to] = numbers((await address(p)).split("?")[1]);
    for (const [run, slope] of [
      // Each says its number, the kelvins and the slope.
      numbers((await said()).split(" · ")[1]).filter((_, i) => i !== 1),
      numbers((await said()).split(" · ")[2]).filter((_, i) => i !== 1),
    ]) {
      const expected = ((await hottest(p, run, to)) - (await hottest(p, run, from))) / (to - from);
      assert.ok(Math.abs(slope - expected) < 0.006, `run ${run}: ${slope} K/s against ${expected}`);
    }
    await p.keyboard.press("+");
    await until("closer", async () => /from=[\d.]+&to=[\d.]+&mark=/.test(await address(p)));
    const [link, words, seen] = [await address(p), await said(), await times(p)];
    const other = await page(`?at=120${link}`);
    await until("the same measurement", async () => (await text(other, "cursor-text").catch(() => "")) === words);
    assert.deepEqual(await times(other), seen);
    // Lined up elsewhere the seconds are others: both are seen as a whole.
    await other.getByTestId("lined-liquidus").click();
    await until("as a whole", async () => (await address(other)) === "#/cell/1/run/210/over/204?at=liquidus");
    await until("nothing measured", async () => (await other.getByTestId("cursor-text").count()) === 0);

    for (const place of ["desk", "touch", "phone"]) {
      const q = await page("?at=120#/cell/1/run/210/over/204", { place });
      await overlaid(q);
      await q.locator(".sheet").scrollIntoViewIfNeeded();
      const width = (await q.locator(".sheet").boundingBox()).width;
      const press = async (target, position) =>
        place === "desk"
          ? target.click(position === undefined ? {} : { position })
          : target.tap(position === undefined ? {} : { position });
      await press(q.getByTestId("measure"));
      await press(q.locator(".sheet"), { x: width * 0.35, y: 150 });
      await press(q.locator(".sheet"), { x: width * 0.5, y: 150 });
      await until("measured", async () =>
        /the hottest of each.*210: .*K\/s.*204: .*K\/s$/.test(await text(q, "cursor-text")),
      );
      const box = await q.locator(".cursor-box").boundingBox();
      for (const row of await q.locator("[data-testid=cursor-text] tspan").all()) {
        const line = await row.boundingBox();
        assert.ok(line.x >= box.x && line.x + line.width <= box.x + box.width, `${place}: the text leaves its box`);
      }
      assert.deepEqual(await spilled(q), [], place);
      await press(q.getByTestId("measure"));
      await until("ended", async () => (await q.getByTestId("cursor-text").count()) === 0);
      await q.context().close();
    }
  },
};
