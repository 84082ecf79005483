import type { FeedState } from "../feed/feeds";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import type { Asked } from "./asked";
import { type Prompt, prompt } from "./promptTypes";

/** Words of another program end as a sentence, or they run into ours. */
const ended = (words: string): string => (/[.!?…]$/.test(words) ? words : `${words}.`);

/** What is to be said of one feed; null: nothing. The lower the rank, the more urgent. */
function saidOf(feed: FeedState, texts: Texts): { readonly rank: number; readonly prompt: Prompt } | null {
  const words = texts.feeds;
  const lag = write.wholeSpan(feed.lagSeconds);
  const key = (what: string): string => `feed/${feed.id}/${what}`;
  if (feed.state === "refused")
    return {
      rank: 0,
      prompt: prompt(key("refused"), "soon", words.notLetIn(feed.id), words.notLetInDetail(ended(feed.reason))),
    };
  if (feed.state !== "paused" && feed.lagSeconds >= feed.alarmAfterSeconds)
    return {
      rank: 1,
      prompt: prompt(
        key("behind"),
        "soon",
        words.behind(feed.id, lag),
        feed.reason === "" ? words.behindQuiet : words.behindDetail(ended(feed.reason)),
      ),
    };
  if (feed.quarantine.isNew)
    return {
      rank: 2,
      prompt: prompt(
        key("lines"),
        "soon",
        words.refused(feed.id, feed.quarantine.lines),
        words.refusedDetail(ended(feed.quarantine.words)),
      ),
    };
  if (feed.state === "paused")
    return {
      rank: 3,
      prompt: prompt(key("paused"), "soon", words.paused(feed.id), words.pausedDetail(lag)),
    };
  return null;
}

/** The sentences of the page of feeds, most urgent first; never none. */
export function feedPrompts(asked: Asked<readonly FeedState[]>, texts: Texts): readonly Prompt[] {
  const words = texts.feeds;
  if (asked.kind === "asking") return [prompt("feeds/asking", "calm", words.asking, "")];
  if (asked.kind === "failed")
    return [prompt("feeds/failed", "unknown", words.failed, asked.words ?? texts.runs.noAnswer)];
  const feeds = asked.value;
  if (feeds.length === 0) return [prompt("feeds/none", "calm", words.none, words.noneDetail)];
  const said = feeds.map((feed) => saidOf(feed, texts)).filter((one) => one !== null);
  if (said.length > 0) return said.sort((a, b) => a.rank - b.rank).map((one) => one.prompt);
  const worst = Math.max(...feeds.map((feed) => feed.lagSeconds));
  return [
    prompt("feeds/within", "calm", words.within(feeds.length, write.wholeSpan(Math.max(1, worst))), words.withinDetail),
  ];
}
