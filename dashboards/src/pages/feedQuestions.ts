import type { FeedOrder, FeedState } from "../feed/feeds";
import { Refusal } from "../feed/records";
import { keepPerson } from "../state/person";
import type { Texts } from "../texts/en";
import type { AskedField, Question } from "./askDialog";
import { byField } from "./byField";

/** Orders that a feed's state allows now. */
export function feedOrders(feed: FeedState): readonly FeedOrder[] {
  return [feed.state === "paused" ? "resume" : "pause", "backfill"];
}

/** A moment as a field of the browser gives it, in RFC 3339. */
const moment = (typed: string): string => new Date(typed).toISOString();

/** The words that an order to a feed needs. */
export function feedQuestion(
  what: FeedOrder,
  feed: FeedState,
  texts: Texts,
  give: (id: string, what: FeedOrder, said: Readonly<Record<string, unknown>>) => Promise<void>,
): Question {
  const words = texts.feeds;
  const order = words.orders[what];
  const by = byField(texts);
  const fields: Partial<Record<FeedOrder, readonly AskedField[]>> = {
    backfill: [
      { name: "from", label: words.from, kind: "moment", value: "", needed: words.fromNeeded },
      { name: "to", label: words.to, kind: "moment", value: "", needed: null },
    ],
    "quarantine/discard": [
      { name: "reason", label: words.reason, kind: "lines", value: "", needed: words.reasonNeeded },
    ],
  };
  return {
    title: order.title,
    detail: order.detail(feed.id),
    fields: [...(fields[what] ?? []), by],
    answer: order.answer,
    send: (said) => {
      keepPerson(said.by);
      if (what !== "backfill") return give(feed.id, what, said);
      const from = moment(said.from);
      const to = said.to === "" ? null : moment(said.to);
      return to !== null && to < from
        ? Promise.reject(new Refusal(words.toWrong, 0))
        : give(feed.id, what, { by: said.by, from, to });
    },
  };
}
