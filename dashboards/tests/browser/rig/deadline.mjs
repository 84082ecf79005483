/** A browser may stop to answer, and most of what is asked of it waits without end: no test waits longer than this. */
export const testDeadlineMs = 150_000;

/** What waits too long for a browser. */
export class Stalled extends Error {}

/** A promise's outcome, or after a while a {@link Stalled} that says what was waited for. */
export async function within(what, ms, promise) {
  let timer;
  const late = new Promise((_, reject) => {
    timer = setTimeout(() => reject(new Stalled(`${what}: no end within ${ms / 1000} s`)), ms);
  });
  try {
    return await Promise.race([promise, late]);
  } finally {
    clearTimeout(timer);
  }
}

/**
 * How a page stands that a test waits for in vain. A page that runs our script no more is our fault; one that runs it and
 * is given no frame to draw, or one that another part of the browser keeps waiting, is the browser's.
 */
export async function standing(page) {
  const asked = (what, script) =>
    within(what, 3000, page.evaluate(script)).catch((error) => (error instanceof Stalled ? undefined : String(error)));
  const seen = await asked("script", "document.visibilityState");
  const frame = await asked("frame", "new Promise((done) => requestAnimationFrame(() => done('drawn')))");
  return {
    url: page.url(),
    runs: seen !== undefined,
    says: `${seen ?? "no script runs"}, ${frame ?? "no frame comes"}`,
  };
}
