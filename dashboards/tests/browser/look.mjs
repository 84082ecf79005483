// What the tests see of a page: pixels of canvases and places of labels.
import { within } from "./rig/deadline.mjs";

/** Inked pixels of the curves, of the whole canvas or of a band of x (parts of its width, 0 to 1). */
export const inked = (page, from = 0, to = 1, selector = ".curves.main canvas") =>
  page.locator(selector).evaluate(
    (canvas, [left, right]) => {
      const x = Math.floor(canvas.width * left);
      const width = Math.max(1, Math.floor(canvas.width * right) - x);
      const { data } = canvas.getContext("2d").getImageData(x, 0, width, canvas.height);
      let count = 0;
      for (let i = 3; i < data.length; i += 4) if (data[i] > 40) count++;
      return count;
    },
    [from, to],
  );

/** The rightmost inked column as a part of the width. */
export const inkEnd = (page) =>
  page.locator(".curves.main canvas").evaluate((canvas) => {
    const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
    let last = -1;
    for (let y = 0; y < canvas.height; y++)
      for (let x = canvas.width - 1; x > last; x--)
        if (data[(y * canvas.width + x) * 4 + 3] > 40) {
          last = x;
          break;
        }
    return last / canvas.width;
  });

/** Pairs of labels whose boxes overlap. */
export const overlaps = (page) =>
  page.evaluate(() => {
    const boxes = [...document.querySelectorAll(".label")].map((label) => ({
      name: label.dataset.channel,
      box: label.getBoundingClientRect(),
    }));
    const found = [];
    for (const [i, a] of boxes.entries())
      for (const b of boxes.slice(i + 1)) {
        const across = Math.min(a.box.right, b.box.right) - Math.max(a.box.left, b.box.left);
        const down = Math.min(a.box.bottom, b.box.bottom) - Math.max(a.box.top, b.box.top);
        if (across > 1 && down > 1) found.push(`${a.name} over ${b.name} by ${down.toFixed(1)} px`);
      }
    return found;
  });

/** Labels that leave the strips, or lie over the ribbon between them. */
export const astray = (page) =>
  page.evaluate(() => {
    const sheet = document.querySelector(".sheet").getBoundingClientRect();
    const ribbons = [...document.querySelectorAll(".sheet .ribbon rect, .sheet .ribbon text")].map((part) =>
      part.getBoundingClientRect(),
    );
    const over = (a, b) =>
      Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1 &&
      Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 1;
    const found = [];
    for (const label of document.querySelectorAll(".label")) {
      const box = label.getBoundingClientRect();
      const { channel } = label.dataset;
      if (box.left < sheet.left || box.right > sheet.right || box.top < sheet.top || box.bottom > sheet.bottom)
        found.push(`${channel} leaves the sheet`);
      if (ribbons.some((ribbon) => over(box, ribbon))) found.push(`${channel} lies over the ribbon`);
      const name = label.querySelector(".name");
      if (name.scrollWidth > name.clientWidth + 1) found.push(`${channel} is cut`);
    }
    return found;
  });

/** Texts of the axes and of lines in a sheet that are cut by it or by the window, lie over each other, or are covered. */
export const cutAxes = (page) =>
  page.evaluate(() => {
    const sheet = document.querySelector(".sheet").getBoundingClientRect();
    const frame = document.querySelector(".sheet-frame").getBoundingClientRect();
    const bottom = Math.min(sheet.bottom, frame.bottom, innerHeight);
    const texts = [...document.querySelectorAll(".sheet .axes text, .sheet .limits text")].map((text) => ({
      says: text.textContent.trim(),
      box: text.getBoundingClientRect(),
      axis: text.closest(".axes") !== null,
    }));
    const over = (a, b) =>
      Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1 &&
      Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 1;
    // Of a line of text letters take less than its height.
    const letters = (box) => ({ left: box.left, right: box.right, top: box.top + 4, bottom: box.bottom - 4 });
    const found = [];
    for (const [i, { says, box }] of texts.entries()) {
      if (
        box.left < sheet.left - 1 ||
        box.right > sheet.right + 1 ||
        box.top < sheet.top - 1 ||
        box.bottom > bottom + 1
      )
        found.push(`“${says}” leaves the sheet`);
      const above = document.elementFromPoint((box.left + box.right) / 2, (box.top + box.bottom) / 2);
      if (above?.closest(".sheet") == null) found.push(`“${says}” is covered by ${above?.className ?? "nothing"}`);
      for (const other of texts.slice(i + 1))
        if (over(letters(box), letters(other.box))) found.push(`“${says}” lies over “${other.says}”`);
    }
    for (const line of document.querySelectorAll(".sheet .limits line"))
      for (const { says, box, axis } of texts)
        if (
          !axis &&
          over(letters(box), {
            ...line.getBoundingClientRect().toJSON(),
            bottom: line.getBoundingClientRect().bottom + 2,
          })
        )
          found.push(`a line passes through “${says}”`);
    return texts.length === 0 ? ["no text at all"] : found;
  });

/** Buttons, links and fields whose words have no room in them, or that what holds them cuts off. */
export const cutButtons = (page) =>
  page.evaluate(() => {
    const found = [];
    for (const one of document.querySelectorAll("button, a.plain, select, summary")) {
      const box = one.getBoundingClientRect();
      if (box.width === 0 || !one.checkVisibility({ visibilityProperty: true })) continue;
      const says = `“${one.textContent.trim().slice(0, 40)}”`;
      if (one.scrollWidth > one.clientWidth + 1) found.push(`${says} has ${one.clientWidth} of ${one.scrollWidth} px`);
      for (let around = one.parentElement; around !== null; around = around.parentElement) {
        // What can be scrolled sideways is meant to be.
        const { overflowX } = getComputedStyle(around);
        if (overflowX === "visible" || (overflowX === "auto" && around.scrollWidth > around.clientWidth + 1)) continue;
        const frame = around.getBoundingClientRect();
        if (box.right > frame.right + 1 || box.left < frame.left - 1)
          found.push(`${says} is cut by ${around.className || around.tagName}`);
      }
    }
    return found;
  });

/** Texts of tiles that leave them, and entries of a record that have no room to be read. */
export const squeezed = (page) =>
  page.evaluate(() => [
    ...[...document.querySelectorAll(".tile")].flatMap((tile) => {
      const frame = tile.getBoundingClientRect();
      return [...tile.querySelectorAll("span")]
        .filter((part) => part.getBoundingClientRect().right > frame.right + 1)
        .map((part) => `“${part.textContent.trim()}” leaves its tile`);
    }),
    ...[...document.querySelectorAll(".record dd")]
      .filter((entry) => entry.clientWidth < 80)
      .map((entry) => `“${entry.textContent}” has ${entry.clientWidth} px`),
    ...[...document.querySelectorAll(".head .head-what")]
      .filter((what) => what.scrollWidth > what.clientWidth + 1)
      .map((what) => `“${what.textContent.trim()}” is cut`),
  ]);

/** Names of window bars that have less room than they need, or lie over what stands beside them. */
export const cutNames = (page) =>
  page.evaluate(() =>
    [...document.querySelectorAll(".figure-head")].flatMap((head) => {
      const frame = head.getBoundingClientRect();
      const parts = [...head.querySelectorAll("span")].filter((part) => part.textContent.trim() !== "");
      const found = parts
        .filter((part) => part.scrollWidth > part.clientWidth + 1 && getComputedStyle(part).display !== "inline")
        .map((part) => `“${part.textContent.trim()}” is cut`);
      for (const [i, part] of parts.entries()) {
        const box = part.getBoundingClientRect();
        if (box.right > frame.right + 1) found.push(`“${part.textContent.trim()}” leaves its bar`);
        for (const next of parts.slice(i + 1)) {
          const other = next.getBoundingClientRect();
          if (
            Math.min(box.right, other.right) - Math.max(box.left, other.left) > 1 &&
            box.bottom > other.top + 1 &&
            other.bottom > box.top + 1
          )
            found.push(`“${part.textContent.trim()}” lies over “${next.textContent.trim()}”`);
        }
      }
      return found;
    }),
  );

/** Inked pixels of curves under the labels. */
export const inkUnderLabels = (page) =>
  page.evaluate(() => {
    const canvas = document.querySelector(".curves.main canvas");
    const frame = canvas.getBoundingClientRect();
    const scale = canvas.width / frame.width;
    let count = 0;
    for (const label of document.querySelectorAll(".label")) {
      const box = label.getBoundingClientRect();
      const left = Math.max(0, Math.floor((box.left - frame.left) * scale));
      const top = Math.max(0, Math.floor((box.top - frame.top) * scale));
      const width = Math.min(canvas.width - left, Math.floor(box.width * scale));
      const height = Math.min(canvas.height - top, Math.floor(box.height * scale));
      if (width < 1 || height < 1) continue;
      const { data } = canvas.getContext("2d").getImageData(left, top, width, height);
      for (let i = 3; i < data.length; i += 4) if (data[i] > 40) count++;
    }
    return count;
  });

/** Text elements whose content is wider than their box and not meant to be cut off. */
export const spilled = (page) =>
  page.evaluate(() => {
    const width = document.documentElement.clientWidth;
    return document.documentElement.scrollWidth > width + 1
      ? [`page is ${document.documentElement.scrollWidth} px wide`]
      : [];
  });

/** Waits for what is to be seen; only what fails waits so long, and a busy computer may be slow. */
export const until = async (what, test, timeoutMs = 20_000) => {
  const end = Date.now() + timeoutMs;
  for (;;) {
    if (await test()) return;
    if (Date.now() > end) throw new Error(`not seen within ${timeoutMs} ms: ${what}`);
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
};

/** The page in a window of another size, laid out for it. */
export async function resize(page, size) {
  await page.setViewportSize(size);
  await drawnAnew(page);
}

/** What changed has been laid out and drawn: it comes with the next frames of the screen. */
const drawnAnew = (page) =>
  within(
    "the next frames of the screen",
    30_000,
    page.evaluate(async () => {
      for (let i = 0; i < 5; i++) await new Promise((done) => requestAnimationFrame(done));
    }),
  );

/**
 * The page has laid itself out anew, twice at least, by its own clock: what would have come of what was done is there.
 * Its timers run behind each other, so a busy computer makes this longer and never too short.
 */
export const settled = (page) =>
  within(
    "the page's own clock",
    30_000,
    page.evaluate(async () => {
      // The page refreshes itself four times a second.
      for (let i = 0; i < 3; i++) await new Promise((done) => setTimeout(done, 260));
      for (let i = 0; i < 3; i++) await new Promise((done) => requestAnimationFrame(done));
    }),
  );

const rules = {
  all: "{ type: 'tag', values: ['wcag2a','wcag2aa','wcag21a','wcag21aa','wcag22aa'] }",
  // What a look can change; the elements and their names are those of the look before.
  ofColour: "{ type: 'rule', values: ['color-contrast', 'link-in-text-block'] }",
};
const media = {
  light: { colorScheme: "light", contrast: "no-preference" },
  dark: { colorScheme: "dark", contrast: "no-preference" },
  contrast: { colorScheme: "light", contrast: "more" },
};

/** What axe finds against WCAG 2.2 AA: by all rules as the page is, and in other looks by those that look at colours. */
export async function violations(page, axe, others = []) {
  // The policy of the test server forbids foreign scripts to the page; an isolated world is not the page.
  const session = await page.devtools();
  const { frameTree } = await session.send("Page.getFrameTree");
  const { executionContextId } = await session.send("Page.createIsolatedWorld", { frameId: frameTree.frame.id });
  await session.send("Runtime.evaluate", { contextId: executionContextId, expression: axe });
  const found = async (runOnly) => {
    const { result } = await session.send("Runtime.evaluate", {
      contextId: executionContextId,
      awaitPromise: true,
      returnByValue: true,
      expression: `axe.run({ runOnly: ${runOnly} }).then(r => r.violations.map(v => v.id + ': ' + v.nodes.slice(0,3).map(n => n.html.slice(0,120) + ' ' + (n.any[0]?.message ?? '')).join(' / ')))`,
    });
    return result.value;
  };
  const all = await found(rules.all);
  for (const look of others) {
    await page.emulateMedia(media[look]);
    await page.locator(`html[data-theme=${look}]`).waitFor({ state: "attached" });
    await drawnAnew(page);
    all.push(...(await found(rules.ofColour)).map((one) => `${look}: ${one}`));
  }
  await session.detach();
  return all;
}
