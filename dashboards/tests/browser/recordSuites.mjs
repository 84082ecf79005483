import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { cutButtons, inked, overlaps, resize, settled, spilled, until, violations } from "./look.mjs";
import { sizes } from "./rig/browser.mjs";

const text = (page, id) => page.getByTestId(id).first().textContent();
const rows = (page) => page.locator(".run-row").count();
const listed = (page) => until("rows", async () => (await rows(page)) === 30);
const address = (page) => page.evaluate(() => location.hash);
const drawn = (page) => until("ink", async () => (await inked(page)) > 500);
const lists = (page) => page.evaluate(() => window.record.asked.filter((path) => path.includes("/runs?")));

/** What a place of the record shows has come. */
const there = (page, hash) => {
  const [what, least] = hash.includes("/over/")
    ? ["[data-testid=band-b-high][d]", 1]
    : hash.includes("/run/")
      ? [".figure", 5]
      : hash === "#/alarms"
        ? ["[data-testid=episode]", 20]
        : [".run-row", 30];
  return until(`${hash} is there`, async () => (await page.locator(what).count()) >= least);
};

/** Tests of the pages that show the record. */
export const recordSuites = {
  async Runs_are_listed_with_shape_bars_and_reason({ page }) {
    for (const place of ["desk", "touch", "phone"]) {
      const p = await page("?at=120&live=1#/runs", { place });
      await listed(p);
      assert.match(await text(p, "sentence"), /^Of the newest 30 runs, 24 pass, 4 fail, 2 undetermined\.$/);
      await until("a shape", async () => (await p.locator("[data-testid=run-212] .shape-top[d]").count()) === 1);
      const row = p.getByTestId("run-210");
      assert.match(await row.textContent(), /Fail:\s*Board 1 choke, peak 245\.\d\s°C, at most 245 asked/);
      assert.match(
        await p.getByTestId("run-202").textContent(),
        /Undetermined:\s*Board 2 edge, soak cannot be told: readings are missing/,
      );
      if (place !== "phone")
        assert.equal(await row.locator("[data-figure=peakTemperature]").getAttribute("data-standing"), "outside");
    }
  },

  async The_list_grows_as_it_is_scrolled({ page }) {
    for (const place of ["desk", "phone"]) {
      const p = await page("?at=120&live=1&oldest=140#/runs", { place });
      await listed(p);
      await settled(p);
      assert.equal((await lists(p)).length, 1, "nothing is fetched that nobody looks at");
      const toEnd = () =>
        p.evaluate(() => {
          for (const element of [document.querySelector(".runs"), document.scrollingElement]) element.scrollTop = 1e6;
        });
      await until("the second page", async () => {
        await toEnd();
        return (await rows(p)) >= 60;
      });
      await until("the end", async () => {
        await toEnd();
        return (await rows(p)) === 73;
      });
      assert.match(await p.locator(".list-foot").textContent(), /These are all/);
      assert.match((await lists(p))[1], /before=183$/);
    }
  },

  async Runs_are_searched_by_pointer_and_the_address_keeps_it({ page }) {
    const p = await page("?at=120&live=1#/runs");
    await listed(p);
    await p.getByTestId("verdict-fail").click();
    await until("failed ones", async () => (await p.locator('.run-row:not([data-verdict="fail"])').count()) === 0);
    assert.equal(await address(p), "#/runs?verdict=fail");
    await p.locator("input[name=carrier]").fill("A");
    await until("both", async () => /carrier=A/.test((await lists(p)).at(-1)));
    await until(
      "of carrier A",
      async () => (await rows(p)) > 0 && !(await p.locator(".runs ol").textContent()).includes("carrier B"),
    );
    await p.reload();
    await until("the same", async () => (await rows(p)) > 0);
    assert.equal(await p.locator("input[name=carrier]").inputValue(), "A");
    assert.equal(await p.getByTestId("verdict-fail").getAttribute("aria-pressed"), "true");
    await p.locator("input[name=spec]").fill("no such board");
    await until("none", async () => /No run fits this search/.test(await text(p, "sentence")));
    await p.getByTestId("clear").click();
    await listed(p);
    assert.equal(await address(p), "#/runs");
    await p.locator("input[name=serial]").fill("GD-188");
    await until("the board", async () => (await rows(p)) === 1 && (await p.getByTestId("run-188").count()) === 1);
    await p.getByTestId("clear").click();
    await p.locator("input[name=to]").fill("2026-11-24");
    await until("older ones", async () => /24 Nov 2026/.test(await p.locator(".run-row").first().textContent()));
  },

  async Runs_are_gone_through_by_key({ page }) {
    const p = await page("?at=120&live=1#/runs");
    await listed(p);
    await p.keyboard.press("/");
    assert.equal(await p.evaluate(() => document.activeElement.name), "product");
    await p.keyboard.press("Escape");
    for (let i = 0; i < 3; i++) await p.keyboard.press("ArrowDown");
    assert.equal(await p.evaluate(() => document.activeElement.dataset.run), "210");
    await p.keyboard.press("ArrowUp");
    await p.keyboard.press("Enter");
    await until("run 211", async () => (await address(p)) === "#/cell/1/run/211");
    await drawn(p);
    await p.keyboard.press("p");
    await until("run 210", async () => /^Fail: Board 1 choke/.test(await text(p, "sentence")));
    assert.match((await text(p, "decision")).replace(/\s+/g, " "), /^on hold by process engineer, .*: choke too hot$/);
    await p.keyboard.press("n");
    await until("run 211 again", async () => /^Pass/.test(await text(p, "sentence")));
    for (let i = 0; i < 3; i++) await p.goBack();
    await until("the list", async () => (await rows(p)) >= 30);
  },

  async A_run_is_drawn_with_its_figures_and_phases({ page }) {
    for (const place of ["desk", "touch", "phone"]) {
      const p = await page("?at=120&live=1#/runs", { place });
      await listed(p);
      if (place === "desk") await p.getByTestId("run-209").click();
      else await p.getByTestId("run-209").tap();
      await drawn(p);
      assert.match(await p.locator("h1").textContent(), /Run 209/);
      assert.match(await text(p, "sentence"), /^Pass: all 7 limits are met\.$/);
      const truth = await p.evaluate(() => window.record.past(209).record.values[2].at(-1));
      if (place !== "phone") {
        await until("label", async () => Math.abs(Number.parseFloat(await text(p, "value-tc3")) - truth) < 0.11);
        assert.deepEqual(await overlaps(p), [], place);
      }
      assert.equal(await p.getByTestId("ribbon-heat").locator("[data-phase=reflow]").count(), 1);
      assert.equal(await p.getByTestId("gate").count(), 1);
      assert.match(await text(p, "figure-peakTemperature"), /231\.\d ± 2\.1\s°C/);
      assert.match(await p.locator(".phases").textContent(), /reflow.*took/s);
      const more = p.locator("details.figure-more").first();
      await more.locator("summary").click();
      assert.equal(await more.locator("tbody tr").count(), 8, "every board has the figure");
    }
  },

  async A_gap_in_a_run_of_the_record_is_never_bridged({ page }) {
    const p = await page("?at=120&live=1#/cell/1/run/202");
    await drawn(p);
    assert.match(await text(p, "sentence"), /^Undetermined: /);
    assert.ok((await p.getByTestId("hatch").count()) >= 1);
    // The axis leaves room for labels: where it ends is read from its last label.
    const part = await p.evaluate(() => {
      const plot = document.querySelector(".curves.main").getBoundingClientRect();
      const times = [...document.querySelectorAll(".axes text")].filter((node) => /^\d:\d\d$/.test(node.textContent));
      const at = (label) => {
        const box = times.find((node) => node.textContent === label).getBoundingClientRect();
        return ((box.left + box.right) / 2 - plot.left) / plot.width;
      };
      return { two: at("2:00"), three: at("3:00") };
    });
    const minute = part.three - part.two;
    assert.equal(await inked(p, part.two + 0.03 * minute, part.two + 0.47 * minute), 0, "2:02 to 2:28");
    assert.ok((await inked(p, part.two + 0.55 * minute, part.three)) > 100);
  },

  async A_run_that_is_not_there_or_does_not_come_is_said({ page }) {
    const p = await page("?at=120&live=1#/cell/1/run/4711");
    await until("said", async () => /^Run 4711 did not come\.$/.test(await text(p, "sentence")));
    assert.match(await text(p, "prompt"), /Cell 1 has no run 4711/);
    await p.evaluate(() => {
      window.record.refuse = 2;
      location.hash = "#/cell/1/run/205";
    });
    await until("no answer", async () => /The service did not answer/.test(await text(p, "prompt")));
    await p.getByTestId("again").click();
    await drawn(p);
    await p.evaluate(() => {
      window.record.delayMs = 800;
      location.hash = "#/cell/1/run/150";
    });
    await until("fetching", async () => /^Fetching run 150\.$/.test(await text(p, "sentence")));
    assert.equal(await p.locator(".curves.main").isVisible(), false, "no curves of another run meanwhile");
    await drawn(p);
  },

  async A_run_is_laid_over_another_by_pointer_and_by_key({ page }) {
    const p = await page("?at=120&live=1#/cell/1/run/210");
    await drawn(p);
    await p.getByTestId("lay-over").click();
    await listed(p);
    assert.match(await text(p, "sentence"), /^Choose the run to lay over run 210\.$/);
    await p.getByTestId("run-204").click();
    const path = (edge) => p.getByTestId(`band-${edge}`).getAttribute("d");
    await until("two bands", async () => ((await path("b-high").catch(() => "")) ?? "").length > 1000);
    assert.equal(await address(p), "#/cell/1/run/210/over/204");
    // Run 210 pumps slower, as every fifth does.
    assert.match(await text(p, "sentence"), /^Largest difference: pump-down, 1\d\.\d\ss against 1\d\.\d\ss\.$/);
    const before = await path("b-high");
    // Five released runs stand, one was withdrawn; no readings of theirs lie where the corridor is not.
    await until("corridor", async () => (await p.getByTestId("corridor").count()) === 1);
    assert.match(await p.locator(".overlay-sheet").textContent(), /where 5 released runs of this spec and load went/);
    const corridor = await p.getByTestId("corridor").getAttribute("d");
    await p.getByTestId("lined-liquidus").click();
    await until("corridor moved", async () => (await p.getByTestId("corridor").getAttribute("d")) !== corridor);
    await until("moved", async () => (await path("b-high")) !== before);
    assert.equal(await address(p), "#/cell/1/run/210/over/204?at=liquidus");
    for (let i = 0; i < 9; i++) await p.keyboard.press("Shift+ArrowLeft");
    await until("cursor", async () => /cursor \d:\d\d · 210: .*mbar · 204: .*mbar/.test(await text(p, "cursor-text")));
    await p.getByTestId("swap").click();
    await until("swapped", async () => (await p.locator("h1").textContent()) === "Run 204 over run 210");
    // By key: from the list, where another run is chosen.
    await p.evaluate(() => {
      location.hash = "#/cell/1/runs?over=209";
    });
    await listed(p);
    await p.keyboard.press("ArrowDown");
    await p.keyboard.press("Enter");
    await until("overlay", async () => (await address(p)) === "#/cell/1/run/209/over/212");
  },

  async Alarms_that_were_are_listed_and_lead_to_their_run({ page }) {
    for (const place of ["desk", "touch", "phone"]) {
      const p = await page("?at=120&live=1#/alarms", { place });
      await until("rows", async () => (await p.getByTestId("episode").count()) >= 33);
      assert.match(
        await p.getByTestId("episode").first().textContent(),
        /Pump-down slower than allowed.*seen after 25\ss, when it was over/s,
      );
      assert.match(
        await p.getByTestId("episode").nth(1).textContent(),
        /Too hot: Board 1 choke.*248\.4\s°C, limit 245\.0\s°C.*31\ss.*seen after 12\ss/s,
      );
      await until("the end", async () => {
        await p.locator(".history .list-foot").scrollIntoViewIfNeeded();
        return (await p.getByTestId("episode").count()) === 90;
      });
      await p.getByTestId("episode").nth(1).getByRole("link").click();
      await until("its run", async () => (await address(p)).startsWith("#/cell/1/run/207?at="));
      await drawn(p);
    }
  },

  async What_the_cell_asks_is_seen_on_every_page({ page }) {
    const p = await page("?at=225&live=1#/runs");
    await listed(p);
    assert.equal(await p.getByTestId("urgent").count(), 0);
    await p.evaluate(() => window.rig.tooHot(1, 20));
    await until("urgent", async () => (await p.getByTestId("urgent").count()) === 1);
    assert.match(await text(p, "urgent"), /Keep the chamber closed, let the programme end, hold the boards/);
    await p.getByTestId("urgent").click();
    await until("the cell", async () => (await p.getByTestId("acknowledge").count()) === 1);
  },

  async Units_and_times_are_as_somebody_chose_them({ page }) {
    const p = await page("?at=120&live=1#/cell/1/run/209");
    await drawn(p);
    const celsius = Number.parseFloat(await text(p, "value-tc3"));
    await p.keyboard.press("?");
    await p.getByLabel("°F", { exact: true }).check();
    await p.getByLabel("Torr", { exact: true }).check();
    await p.keyboard.press("Escape");
    await until("°F", async () => Math.abs(Number.parseFloat(await text(p, "value-tc3")) - (celsius * 1.8 + 32)) < 0.2);
    assert.match(await text(p, "value-chamber"), /^758\sTorr$/);
    assert.match(await text(p, "figure-peakTemperature"), /447\.\d ± 3\.8\s°F/);
    const axis = (await p.locator(".axes text").allTextContents())
      .map(Number)
      .filter((value) => value > 250 && value < 700);
    assert.ok(axis.includes(400), axis.join());
    await p.keyboard.press("u");
    await until("UTC", async () => /^\d\d:\d\d:\d\d\sUTC$/.test(await text(p, "clock")));
    await p.reload();
    await drawn(p);
    assert.match(await text(p, "value-chamber"), /Torr$/);
    assert.match(await text(p, "clock"), /UTC$/);
  },

  async German_is_spoken_and_nothing_spills({ page }) {
    const p = await page("?at=120&live=1#/runs");
    await listed(p);
    await p.keyboard.press("?");
    await p.getByLabel("Deutsch").check();
    await until("German", async () =>
      /^Von den neuesten 30 Läufen: 24 bestanden/.test(await text(p, "sentence").catch(() => "")),
    );
    assert.equal(await p.locator("html").getAttribute("lang"), "de");
    assert.match(
      await p.getByTestId("run-210").textContent(),
      /Nicht bestanden:\s*Board 1 choke, Spitze 245,\d\s°C, verlangt höchstens 245/,
    );
    await p.evaluate(() => window.rig.tooHot(1, 20));
    for (const size of [
      { width: 1920, height: 1080 },
      { width: 1024, height: 768 },
      { width: 390, height: 844 },
      { width: 844, height: 390 },
    ])
      for (const [hash, shown] of [
        ["#/cell", ".figure"],
        ["#/runs", "[data-testid=run-210]"],
        ["#/cell/1/run/210", ".phases"],
        ["#/cell/1/run/210/over/204", ".overlay-sheet .ribbon"],
        ["#/alarms", ".alarm"],
      ]) {
        await p.evaluate((to) => {
          location.hash = to;
        }, hash);
        await p.locator(shown).first().waitFor({ state: "attached" });
        await resize(p, size);
        assert.deepEqual(await spilled(p), [], `${size.width} ${hash}`);
        assert.deepEqual(await cutButtons(p), [], `${size.width} ${hash}`);
      }
  },

  async Two_points_are_measured_by_pointer_and_by_touch({ page }) {
    for (const place of ["desk", "touch"]) {
      const p = await page("?at=120&live=1#/cell/1/run/209", { place });
      await drawn(p);
      const press = async (selector, position) => {
        const target = typeof selector === "string" ? p.locator(selector) : selector;
        if (place === "desk") await target.click(position === undefined ? {} : { position });
        else await target.tap(position === undefined ? {} : { position });
      };
      await p.locator(".sheet").scrollIntoViewIfNeeded();
      await press(p.getByTestId("measure"));
      await until("asked for the first point", async () => /first point/.test(await text(p, "measuring")));
      const height = (await p.locator(".sheet").boundingBox()).height;
      await press(".sheet", { x: 200, y: height * 0.9 });
      await until("asked for the second point", async () => /second point/.test(await text(p, "measuring")));
      await press(".sheet", { x: 320, y: height * 0.9 });
      await until("measured", async () =>
        /^\d+\.\d\ss · −?\d+\.\d\sK · −?\d+\.\d\d\sK\/s · Board/.test(await text(p, "cursor-text")),
      );
      const [span, kelvin, slope] = (await text(p, "cursor-text"))
        .replaceAll("−", "-")
        .match(/-?[\d.]+/g)
        .map(Number);
      assert.ok(Math.abs(kelvin / span - slope) < 0.02, `${kelvin} K in ${span} s are not ${slope} K/s`);
      const measured = await text(p, "cursor-text");
      if (place === "desk") await p.mouse.move(900, 500);
      await settled(p);
      assert.equal(await text(p, "cursor-text"), measured, "it stays until it is ended");
      await press(p.getByTestId("measure"));
      await until("ended", async () => (await p.getByTestId("cursor-text").count()) === 0);
    }
  },

  async A_curve_is_saved_as_a_picture({ page }) {
    for (const [query, name] of [
      ["?at=240", "cell-1-run-214.png"],
      ["?at=240#/cell/1/run/209", "cell-1-run-209.png"],
      ["?at=240#/cell/1/run/209/over/204", "cell-1-run-209-over-204.png"],
    ]) {
      const p = await page(query);
      await until("the tool", async () => (await p.getByTestId("save-picture").count()) === 1);
      if (query.includes("over")) await p.locator(".overlay-sheet .ribbon").first().waitFor({ state: "attached" });
      else await drawn(p);
      await p.locator(".sheet").hover();
      const [download] = await Promise.all([p.waitForEvent("download"), p.getByTestId("save-picture").click()]);
      assert.equal(download.suggestedFilename(), name);
      const bytes = await readFile(await download.path());
      assert.equal(bytes.subarray(1, 4).toString("latin1"), "PNG");
      const size = await p.locator(".sheet").boundingBox();
      assert.equal(bytes.readUInt32BE(16), Math.round(size.width * 2), "twice the width of the sheet");
      // An empty sheet packs to a few kilobytes.
      assert.ok(bytes.length > 60_000, `${name} has ${bytes.length} bytes`);
    }
  },

  async A_run_is_printed_light_and_as_wide_as_the_paper({ page }) {
    const p = await page("?at=120&live=1#/cell/1/run/210", { scheme: "dark" });
    await drawn(p);
    await p.evaluate(() => {
      window.printed = [];
      matchMedia("print").addEventListener("change", (event) => {
        if (event.matches)
          window.printed.push([
            document.documentElement.dataset.theme,
            document.querySelector(".sheet").clientWidth,
            document.querySelector(".curves.main canvas").clientWidth,
          ]);
      });
    });
    const before = await p.locator(".curves.main canvas").evaluate((canvas) => canvas.width);
    const pdf = await p.pdf({ preferCSSPageSize: true, printBackground: true });
    const [[theme, sheet, curves]] = await p.evaluate(() => window.printed);
    assert.equal(theme, "light");
    assert.equal(sheet, 1040);
    assert.ok(curves > 900 && curves < 1040, `curves ${curves} px wide`);
    assert.equal((pdf.toString("latin1").match(/\/Type\s*\/Page\b/g) ?? []).length, 2);
    await until(
      "as before",
      async () => (await p.locator(".curves.main canvas").evaluate((canvas) => canvas.width)) === before,
    );
    assert.equal(await p.locator("html").getAttribute("data-theme"), "dark");
  },

  async Pages_of_the_record_spill_nothing({ page }) {
    for (const place of ["desk", "touch"])
      for (const hash of ["#/runs", "#/cell/1/run/202", "#/cell/1/run/210/over/204", "#/alarms"]) {
        const p = await page(`?at=120&live=1${hash}`, { place });
        await there(p, hash);
        assert.deepEqual(await spilled(p), [], `${place} ${hash}`);
        if (place === "touch") {
          await resize(p, sizes.phone);
          assert.deepEqual(await spilled(p), [], `phone ${hash}`);
        }
        await p.context().close();
      }
  },

  async Axe_finds_nothing_in_the_record({ page, axe }) {
    for (const place of ["desk", "touch"])
      for (const hash of ["#/runs", "#/cell/1/run/202", "#/cell/1/run/210/over/204", "#/alarms", "keys"]) {
        const p = await page(`?at=120&live=1${hash === "keys" ? "#/runs" : hash}`, { place });
        await there(p, hash);
        if (hash === "keys") await p.keyboard.press("?");
        assert.deepEqual(await violations(p, axe, ["dark"]), [], `${place} ${hash}`);
        if (place === "touch") {
          await resize(p, sizes.phone);
          assert.deepEqual(await violations(p, axe, ["light"]), [], `phone ${hash}`);
        }
        await p.context().close();
      }
  },
};
