import { Refusal } from "../feed/records";
import { type RunOrders, runKinds } from "../feed/runOrders";
import type { RunOfCarrier } from "../state/carriers";
import { keepPerson } from "../state/person";
import type { Texts } from "../texts/en";
import type { AskedField, Question } from "./askDialog";
import { byField } from "./byField";

/** What can be said of a carrier's run while it goes on, and of one that begins. */
export type RunOrderKind = keyof RunOrders;

/** What can be said of a carrier as it stands, first the likeliest. */
export const runOrdersFor = ({ run }: RunOfCarrier): readonly RunOrderKind[] =>
  run === null ? ["begin"] : ["intervention", "kind", "end"];

type Run = NonNullable<RunOfCarrier["run"]>;

/** The words that an order for a carrier's run needs. */
export function runQuestion(
  order: RunOrderKind,
  { name, run }: RunOfCarrier,
  cell: number,
  texts: Texts,
  orders: RunOrders,
): Question {
  const words = texts.runOrders;
  const by = byField(texts);
  const kinds = (value: string, more: readonly (readonly [string, string])[]): AskedField => ({
    name: "kind",
    label: words.what,
    kind: "choice",
    value,
    needed: null,
    options: [...more, ...runKinds.map((kind) => [kind, words.kinds[kind]] as const)],
  });
  const fields: Record<RunOrderKind, readonly AskedField[]> = {
    begin: [
      kinds("", [["", words.byReadings]]),
      { name: "recipe", label: words.recipe, kind: "number", value: "", needed: null },
      by,
    ],
    intervention: [{ name: "what", label: words.done, kind: "lines", value: "", needed: words.doneNeeded }, by],
    kind: [kinds(run?.kind ?? "", []), by],
    end: [by],
  };
  const give = (said: Readonly<Record<string, string>>): Promise<void> => {
    const kind = said.kind === "" ? null : (said.kind as Run["kind"]);
    switch (order) {
      case "begin":
        return orders.begin(cell, name, said.by, kind, said.recipe === "" ? null : Number(said.recipe));
      case "end":
        return orders.end(cell, name, said.by);
      case "kind":
        return orders.kind(cell, name, said.by, said.kind as Run["kind"]);
      case "intervention":
        return orders.intervention(cell, name, said.by, said.what);
    }
  };
  return {
    title: words.title[order](name, run?.number ?? 0),
    detail: `${words.detail[order]} ${words.switchesNothing}`,
    fields: fields[order],
    answer: words.answer[order],
    send: (said) => {
      keepPerson(said.by);
      return give(said).catch((error: unknown) => {
        throw toldPlainly(error, texts);
      });
    },
  };
}

/** What the service refused, in the words of the page before its own. */
function toldPlainly(error: unknown, texts: Texts): unknown {
  if (!(error instanceof Refusal)) return error;
  const words = texts.runOrders;
  if (error.status === 409) return new Refusal(`${words.otherwise} ${error.message}`, 409);
  if (error.status === 503) return new Refusal(words.busy, 503);
  return error;
}
