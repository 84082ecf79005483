import assert from "node:assert/strict";
import { resize, settled, spilled, until, violations } from "./look.mjs";

const text = async (page, id) => (await page.getByTestId(id).first().textContent()).replace(/\s+/g, " ").trim();
const sentences = (page) => page.locator(".prompts .sentence").allTextContents();
const orders = (page) => page.evaluate(() => window.feeds.orders);
const listed = (page, count) => until("feeds", async () => (await page.locator(".feed").count()) === count);

/** Answers the question that stands. */
async function answer(page, fields) {
  for (const [name, value] of Object.entries({ by: "A. Tester", ...fields }))
    await page.locator(`dialog.ask [name="${name}"]`).fill(value);
  await page.getByTestId("ask-send").click();
  await until("done", async () => (await page.getByTestId("ask").count()) === 0);
}

/** Tests of the feeds: to whom the record is sent. */
export const feedSuites = {
  async Feeds_have_a_place_only_where_there_are_any({ page }) {
    const none = await page("?at=120&live=1");
    await until("feeds asked for", () => none.evaluate(() => window.feeds.asked > 0));
    await settled(none);
    assert.equal(await none.getByTestId("place-feeds").count(), 0);
    for (const place of ["desk", "touch", "phone"]) {
      const p = await page("?at=120&live=1&feeds=3#/runs", { place });
      const link = p.locator("[data-testid=place-feeds]:visible");
      await until("the place", async () => (await link.count()) === 1);
      if (place === "desk") await link.click();
      else await link.tap();
      await listed(p, 3);
      assert.equal(await p.evaluate(() => location.hash), "#/feeds");
      assert.equal(await link.getAttribute("aria-current"), "page");
      assert.match((await sentences(p))[0], /^All 3 feeds are at most 1\ss behind the record\.$/);
      assert.match(
        await text(p, "feed-historian"),
        /line protocol, http:\/\/historian:8086, bucket plant.*sending.*0\.1\ss.*ms; finer parts are cut off.*none.*alarm from 1\smin on/,
      );
      await until("the last hour", async () => (await p.locator(".lag-curve").first().getAttribute("d"))?.length > 100);
      assert.match(await text(p, "feed-historian"), /worst 9\smin 30\ss/);
      assert.deepEqual(await spilled(p), [], place);
      await p.context().close();
    }
  },

  async What_is_wrong_with_a_feed_is_said_first_with_the_other_sides_words({ page }) {
    const p = await page("?at=120&live=1&feeds=3#/feeds");
    await listed(p, 3);
    await p.evaluate(() => {
      Object.assign(window.feeds.of("broker"), {
        state: "waiting",
        reason: "connection refused",
        lagSeconds: 200,
        backlogEntries: 2000,
        failures: 9,
      });
      Object.assign(window.feeds.of("host"), { state: "refused", reason: "not authorised", lagSeconds: 20 });
    });
    await until(
      "said",
      async () => (await sentences(p)).join("|") === "host is not let in.|broker is 3\u00a0min 20\u00a0s behind.",
    );
    assert.equal(await p.getByTestId("prompt").getAttribute("data-tone"), "soon");
    assert.match(
      await text(p, "feed-broker"),
      /waiting to try again, 9 failed attempts.*3\smin 20\ss.*2000.*Reason\s*connection refused/,
    );
    await p.evaluate(() => {
      window.feeds.down = true;
    });
    await until("no answer", async () => (await sentences(p))[0] === "The list of feeds did not come.");
    assert.equal(await p.getByTestId("prompt").getAttribute("data-tone"), "unknown");
  },

  async What_the_other_side_cannot_tell_apart_in_time_is_said_where_the_precision_stands({ page }) {
    const p = await page("?at=120&live=1&feeds=3#/feeds");
    await listed(p, 3);
    assert.equal(await text(p, "precision-historian"), "ms; finer parts are cut off, towards the past");
    await p.evaluate(() => {
      for (const id of ["historian", "host"])
        Object.assign(window.feeds.of(id), { closeDevices: [{ cell: 1, device: "logger" }], sharedTimes: 12 });
    });
    const apart =
      "At the pace of logger of cell 1 scans may have one time: the other side keeps one of them. 12 scans since the start have the time of the one before.";
    await until("said", async () => (await text(p, "precision-historian")).includes("logger"));
    assert.equal(
      await text(p, "precision-historian"),
      `ms; finer parts are cut off, towards the past ${apart} With “precision”: “ns” times go in full; the record has every scan.`,
    );
    assert.ok((await text(p, "precision-host")).endsWith(apart), "Sparkplug leaves no choice");
    assert.deepEqual(await spilled(p), []);
  },

  async A_feed_is_paused_and_resumed_by_pointer_and_by_key({ page }) {
    const p = await page("?at=120&live=1&feeds=2#/feeds");
    await listed(p, 2);
    await p.getByTestId("pause-broker").click();
    await p.getByTestId("ask-send").click();
    await until("a name is asked for", async () => /Give your name/.test(await text(p, "ask-said")));
    assert.deepEqual(await orders(p), [], "nothing is done without a name");
    await answer(p, {});
    await until("paused", async () => (await p.getByTestId("feed-broker").getAttribute("data-state")) === "paused");
    assert.match((await sentences(p))[0], /^broker is paused\.$/);
    await p.keyboard.press("ArrowDown");
    await p.keyboard.press("ArrowDown");
    assert.equal(await p.evaluate(() => document.activeElement.dataset.testid), "feed-broker");
    await p.keyboard.press("Tab");
    await p.keyboard.press("Enter");
    await answer(p, {});
    await until("sending", async () => (await p.getByTestId("feed-broker").getAttribute("data-state")) === "sending");
    assert.deepEqual(
      (await orders(p)).map(({ id, what, body }) => [id, what, body.by]),
      [
        ["broker", "pause", "A. Tester"],
        ["broker", "resume", "A. Tester"],
      ],
    );
  },

  async The_past_is_sent_again_from_a_moment_on_and_can_be_cancelled({ page }) {
    const p = await page("?at=120&live=1&feeds=2#/feeds", { place: "touch" });
    await listed(p, 2);
    await p.getByTestId("backfill-historian").tap();
    await answer(p, { from: "2026-11-20T06:00:00" });
    await until("progress", async () => /37\s% of cell-1 sent/.test(await text(p, "past-historian")));
    assert.equal(
      await p
        .locator("progress")
        .first()
        .evaluate((bar) => bar.value),
      0.37,
    );
    assert.equal((await orders(p))[0].body.from, await p.evaluate(() => new Date("2026-11-20T06:00:00").toISOString()));
    await p.getByTestId("backfill-cancel-historian").tap();
    await answer(p, {});
    await until("cancelled", async () => (await p.getByTestId("past-historian").count()) === 0);
  },

  async Refused_lines_are_read_sent_again_and_discarded({ page }) {
    const p = await page("?at=120&live=1&feeds=1#/feeds");
    await listed(p, 1);
    await p.evaluate(() => window.feeds.refuse("historian", 30, "field type conflict"));
    await until("said", async () => (await sentences(p))[0] === "30 lines of historian were refused.");
    await p.getByTestId("show-historian").click();
    await until("twenty", async () => (await p.locator("[data-testid=refused] tbody tr").count()) === 20);
    await p.getByTestId("more-refused").click();
    await until("all", async () => (await p.locator("[data-testid=refused] tbody tr").count()) === 30);
    assert.match(
      await p.locator("[data-testid=refused] tbody tr").first().textContent(),
      /field type conflict.*temperature,cell=1,channel=tc1/s,
    );
    assert.match(
      await p.locator("a[download]").getAttribute("href"),
      /^\/api\/v1\/feeds\/historian\/quarantine\/export$/,
    );
    await p.getByTestId("quarantine-acknowledge-historian").click();
    await answer(p, {});
    await until("calm", async () => /^The feed is/.test((await sentences(p))[0]));
    assert.match(await text(p, "refused-historian"), /^30, the oldest from/);
    await p.getByTestId("quarantine-discard-historian").click();
    await answer(p, { reason: "wrong bucket, sent by hand" });
    await until("none", async () => (await text(p, "refused-historian")) === "none");
    assert.deepEqual(
      (await orders(p)).map(({ what }) => what),
      ["quarantine/acknowledge", "quarantine/discard"],
    );
    assert.equal((await orders(p))[1].body.reason, "wrong bucket, sent by hand");
  },

  async Feeds_in_German_spill_nowhere({ page }) {
    const p = await page("?at=120&live=1&feeds=3#/feeds");
    await listed(p, 3);
    await p.keyboard.press("?");
    await p.getByLabel("Deutsch").check();
    await until("German", async () => /^Alle 3 Weitergaben sind höchstens/.test((await sentences(p)).join()));
    await p.evaluate(() => window.feeds.refuse("historian", 3, "field type conflict"));
    await until("refused", async () => /^3 Zeilen von historian/.test((await sentences(p)).join()));
    await p.getByTestId("show-historian").click();
    for (const size of [
      { width: 1920, height: 1080 },
      { width: 1024, height: 768 },
      { width: 390, height: 844 },
    ]) {
      await resize(p, size);
      assert.deepEqual(await spilled(p), [], `${size.width}`);
    }
  },

  async Axe_finds_nothing_on_the_feeds({ page, axe }) {
    for (const [place, scheme] of [
      ["desk", "light"],
      ["desk", "dark"],
      ["touch", "dark"],
      ["phone", "light"],
    ]) {
      const p = await page("?at=120&live=1&feeds=3#/feeds", { place, scheme });
      await listed(p, 3);
      await p.evaluate(() => {
        window.feeds.refuse("historian", 3, "field type conflict");
        Object.assign(window.feeds.of("broker"), { state: "waiting", reason: "connection refused", lagSeconds: 200 });
        window.feeds.of("host").backfills = [
          { lane: "cell-1", first: 1, confirmed: 37, last: 100, share: 0.37, owed: true },
        ];
      });
      await until("said", async () => (await sentences(p)).length === 2);
      await p.getByTestId("show-historian").click();
      await p.getByTestId("refused").waitFor();
      assert.deepEqual(await violations(p, axe), [], `${place} ${scheme}`);
      await p.context().close();
    }
  },
};
