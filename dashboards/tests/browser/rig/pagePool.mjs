import { launch, sizes } from "./browser.mjs";
import { within } from "./deadline.mjs";

/**
 * Pages for the tests. A page that is given back is emptied and lent again: to begin a page costs several times what it
 * costs to lead one to another address. One whose inner state a test has taken hold of is not lent again.
 */
export async function createPagePool(url) {
  const browsers = [await launch()];
  let idle = { touch: [], plain: [] };

  const begin = async (kind) => {
    const context = await browsers[0].newContext({ hasTouch: kind === "touch" });
    const page = await context.newPage();
    const entry = { context, page, kind, complaints: [], spent: false, lent: true };
    page.setDefaultTimeout(15_000);
    page.on("console", (message) => {
      // The tests themselves read the canvases' pixels.
      if (!message.text().includes("willReadFrequently")) entry.complaints.push(`${message.type()}: ${message.text()}`);
    });
    page.on("pageerror", (error) => entry.complaints.push(`error: ${error.message}`));
    const newSession = context.newCDPSession.bind(context);
    page.spoil = () => {
      entry.spent = true;
    };
    // For looking only; what a session of a test has set stays set.
    page.devtools = () => newSession(page);
    context.newCDPSession = (of) => {
      page.spoil();
      return newSession(of);
    };
    entry.end = context.close.bind(context);
    context.close = () => giveBack(entry);
    return entry;
  };
  const giveBack = async (entry) => {
    if (!entry.lent) return;
    entry.lent = false;
    entry.given(entry.page);
    if (entry.spent) return entry.end();
    const { page, kind } = entry;
    try {
      // A page that never came has no store.
      if (page.url().startsWith("http")) await page.evaluate(() => localStorage.clear());
      await page.goto("about:blank");
      await page.mouse.move(0, 0);
    } catch {
      // A page that has gone is nobody's any more; the test that had it says so.
      return entry.end().catch(() => undefined);
    }
    idle[kind].push(entry);
  };

  return {
    /**
     * A page of the application at a scene.
     * @param complaints list into which goes what it writes to the console; @param given told when it is given back
     */
    async open(
      query,
      complaints,
      given,
      { place = "desk", scheme = "light", contrast = "no-preference", size = sizes[place] } = {},
    ) {
      const kind = place === "desk" ? "plain" : "touch";
      const entry = idle[kind].pop() ?? (await begin(kind));
      entry.lent = true;
      entry.complaints = complaints;
      entry.given = given;
      const { page } = entry;
      await page.setViewportSize(size);
      await page.emulateMedia({ colorScheme: scheme, contrast });
      await page.goto(`${url}${query}`);
      await page.getByTestId("clock").waitFor();
      return page;
    },
    /** Takes back a page that a test has left open; one that does not answer is given up. */
    take: (page) => within("a page given back", 20_000, page.context().close()).catch(() => undefined),
    /** A page that a test still waits for is nobody's any more. */
    giveUp(page) {
      page.spoil();
      return this.take(page);
    },
    /** Pages are lent from another browser from now on; those already lent stay. */
    async renew() {
      idle = { touch: [], plain: [] };
      browsers.unshift(await launch());
    },
    close: () => Promise.all(browsers.map((one) => one.close())),
  };
}
