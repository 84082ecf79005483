import type { Ask } from "../feed/records";

/** How often it is asked whether there are feeds, ms: they come with another configuration. */
const askMs = 60_000;

/** Finds out in the background whether the service has feeds. */
export function createFeedsExist(ask: Ask, nowMs: () => number, told: () => void): () => boolean {
  let exist = false;
  let askedMs = Number.NEGATIVE_INFINITY;
  return () => {
    if (nowMs() - askedMs >= askMs) {
      askedMs = nowMs();
      ask("/api/v1/feeds", new AbortController().signal).then(
        (answer) => {
          exist = (answer as { readonly feeds: readonly unknown[] }).feeds.length > 0;
          told();
        },
        () => undefined, // asked again in a minute
      );
    }
    return exist;
  };
}
