import { html, render } from "lit-html";
import { createFeeds, type FeedState, type LagHour, refusedAPage } from "../feed/feeds";
import { feedQuestion } from "../pages/feedQuestions";
import { feedsPage, type ShownLines } from "../pages/feedsPage";
import { storedHead } from "../pages/storedHead";
import { type Asked, failed, isAbort } from "../state/asked";
import { feedPrompts } from "../state/feedPrompts";
import type { Route } from "../state/route";
import type { Surroundings, Visit } from "./context";

/** How often it is asked how the feeds stand, ms: what is sent is not quicker to be looked at. */
const askMs = 2000;
/** A step of the last hour is half a minute. */
const lagMs = 15_000;

/** The feeds of the service that the page came from. */
export function createFeedsPlace(around: Surroundings): Visit<Extract<Route, { place: "feeds" }>> {
  const feeds = createFeeds(around.ask);
  const { texts, page } = around;
  let asked: Asked<readonly FeedState[]> = { kind: "asking", sinceMs: 0 };
  let known: readonly FeedState[] = [];
  const lags = new Map<string, LagHour>();
  let shown: ShownLines | null = null;
  let here = false;
  let askedMs = Number.NEGATIVE_INFINITY;
  let lagsMs = Number.NEGATIVE_INFINITY;
  let underway = new AbortController();

  const fetch = (): void => {
    const nowMs = around.nowMs();
    if (nowMs - askedMs < askMs) return;
    askedMs = nowMs;
    const mine = underway;
    feeds.list(mine.signal).then(
      (value) => {
        asked = { kind: "here", value };
        known = value;
        around.relay();
        if (here && nowMs - lagsMs >= lagMs) {
          lagsMs = nowMs;
          for (const { id } of value) fetchLag(id, mine.signal);
        }
      },
      (error: unknown) => {
        if (isAbort(error)) return;
        asked = failed(error);
        around.relay();
      },
    );
  };
  const fetchLag = (id: string, signal: AbortSignal): void => {
    feeds.lag(id, signal).then(
      (hour) => {
        lags.set(id, hour);
        around.relay();
      },
      () => undefined, // the list says that the service does not answer
    );
  };
  const fetchLines = (id: string, before: ShownLines | null): void => {
    const lines = before?.lines ?? [];
    shown = { id, lines, more: false, asked: { kind: "asking", sinceMs: around.nowMs() } };
    feeds.refused(id, lines.at(-1)?.number ?? 0, underway.signal).then(
      (found) => {
        if (shown?.id !== id) return;
        const more = found.next !== null && found.lines.length === refusedAPage;
        shown = { id, lines: [...lines, ...found.lines], more, asked: { kind: "here", value: null } };
        around.relay();
      },
      (error: unknown) => {
        if (isAbort(error) || shown?.id !== id) return;
        shown = { id, lines, more: true, asked: failed(error) };
        around.relay();
      },
    );
    around.relay();
  };
  const step = (by: number): void => {
    const all = [...page.querySelectorAll<HTMLElement>(".feed")];
    const at = all.findIndex((one) => one.contains(document.activeElement));
    all[Math.min(Math.max(at < 0 ? 0 : at + by, 0), all.length - 1)]?.focus();
  };

  return {
    enter() {
      here = true;
      underway = new AbortController();
      askedMs = lagsMs = Number.NEGATIVE_INFINITY;
      fetch();
    },
    leave() {
      here = false;
      shown = null;
      underway.abort();
      underway = new AbortController();
    },
    layOut() {
      fetch();
      const place = around.place();
      const width = page.clientWidth - (place === "desk" ? 32 : 24);
      render(
        feedsPage({
          feeds: known,
          prompts: feedPrompts(asked, texts),
          lags,
          shown,
          nowMs: around.clockMs(),
          plotWidth: place === "desk" ? Math.min(560, Math.floor(width * 0.36)) : place === "touch" ? 380 : width - 32,
          head: storedHead({
            title: texts.feeds.heading,
            what: html`${known.length === 0 ? "" : texts.feeds.count(known.length)}`,
            demo: around.live.layout?.demo ?? false,
            clockMs: around.clockMs(),
            place,
            links: around.links(),
            tools: html``,
            texts,
          }),
          texts,
          exportOf: feeds.exportOf,
          order: (what, feed) =>
            around.dialog.ask(
              feedQuestion(what, feed, texts, async (id, order, said) => {
                const now = await feeds.order(id, order, said);
                known = known.map((one) => (one.id === id ? now : one));
                asked = { kind: "here", value: known };
                if (shown?.id === id) shown = null;
                around.relay();
              }),
            ),
          show: (id) => {
            if (id !== null) fetchLines(id, null);
            else {
              shown = null;
              around.relay();
            }
          },
          more: () => {
            if (shown !== null) fetchLines(shown.id, shown);
          },
        }),
        page,
      );
    },
    restyle: () => undefined,
    keys: { stepChannel: step },
    title: () => texts.feeds.heading,
  };
}
