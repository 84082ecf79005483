import type { AlarmLive, AlarmOrders } from "../feed/alarmContract";
import { keepPerson } from "../state/person";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import type { AskedField, Question } from "./askDialog";
import { byField } from "./byField";

/** Gives an order for an alarm of the cell that is followed. */
export type GiveOrder = (give: (orders: AlarmOrders, cell: number) => Promise<void>) => Promise<void>;

/** What can be asked for an alarm beside having seen it. */
export type OrderKind = "did" | "shelve" | "unshelve" | "outOfService" | "returnToService" | "reset";

/** Minutes for which an alarm can be put aside here; the service refuses what is longer than the cell allows. */
const minutes = [5, 10, 30, 60, 120, 240, 480];

/** Orders that an alarm's state allows, first the likeliest. */
export function ordersFor(state: AlarmLive["state"]): readonly OrderKind[] {
  switch (state) {
    case "unacknowledged":
    case "returnedUnacknowledged":
    case "latchedUnacknowledged":
      return ["did", "shelve", "outOfService"];
    case "acknowledged":
      return ["shelve", "outOfService"];
    case "latchedAcknowledged":
      return ["reset", "shelve", "outOfService"];
    case "shelved":
      return ["unshelve", "outOfService"];
    case "outOfService":
      return ["returnToService"];
    case "suppressedByDesign":
      return [];
  }
}

/** The words that an order needs. @param what the alarm, as people call it */
export function orderQuestion(
  kind: OrderKind,
  alarm: AlarmLive,
  what: string,
  texts: Texts,
  give: GiveOrder,
): Question {
  const words = texts.orders;
  const by = byField(texts);
  const text = (name: string, label: string, needed: string | null): AskedField => ({
    name,
    label,
    kind: "lines",
    value: "",
    needed,
  });
  const fields: Record<OrderKind, readonly AskedField[]> = {
    did: [text("comment", words.did.comment, words.did.needed), by],
    shelve: [
      {
        name: "minutes",
        label: words.shelve.minutes,
        kind: "choice",
        value: "30",
        needed: null,
        options: minutes.map((m) => [String(m), words.shelve.span(write.wholeSpan(m * 60))] as const),
      },
      {
        name: "once",
        label: words.shelve.until,
        kind: "choice",
        value: "no",
        needed: null,
        options: [
          ["no", words.shelve.inAnyCase],
          ["yes", words.shelve.once],
        ],
      },
      text("reason", words.reason, words.reasonNeeded),
      by,
    ],
    unshelve: [by],
    outOfService: [text("reason", words.reason, words.reasonNeeded), by],
    returnToService: [text("comment", words.comment, null), by],
    reset: [text("comment", words.comment, null), by],
  };
  const order = (orders: AlarmOrders, cell: number, said: Readonly<Record<string, string>>): Promise<void> => {
    const { id } = alarm;
    switch (kind) {
      case "did":
        return orders.acknowledge(cell, id, said.by, said.comment);
      case "shelve":
        return orders.shelve(cell, id, said.by, said.reason, Number(said.minutes), said.once === "yes");
      case "unshelve":
        return orders.unshelve(cell, id, said.by);
      case "outOfService":
        return orders.outOfService(cell, id, said.by, said.reason);
      case "returnToService":
        return orders.returnToService(cell, id, said.by, said.comment);
      case "reset":
        return orders.reset(cell, id, said.by, said.comment);
    }
  };
  return {
    title: words[kind].title,
    detail: `${what} ${words[kind].detail}`,
    fields: fields[kind],
    answer: words[kind].answer,
    send: (said) => {
      keepPerson(said.by);
      return give((orders, cell) => order(orders, cell, said));
    },
  };
}
