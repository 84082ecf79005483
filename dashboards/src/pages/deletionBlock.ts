import type { Deletion } from "../feed/upkeep";
import { keepPerson } from "../state/person";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import type { Question } from "./askDialog";
import { byField } from "./byField";

/** A step that cannot be undone: it says what will be lost, and wants the run's number typed. */
export function deletionQuestion(
  run: number,
  plan: Deletion,
  texts: Texts,
  send: (by: string, reason: string) => Promise<void>,
): Question {
  const words = texts.deletion;
  return {
    title: words.title(run),
    detail: [
      words.lost(plan.entries, `${write.fixed(plan.bytes / 1e6, 1)}${write.nbsp}MB`),
      words.kept,
      plan.entriesThatStay > 0 ? words.stay(plan.entriesThatStay) : null,
    ]
      .filter((part) => part !== null)
      .join(" "),
    fields: [
      { name: "number", label: words.typed(run), kind: "text", value: "", needed: words.typedNeeded(run) },
      { name: "reason", label: words.reason, kind: "lines", value: "", needed: words.reasonNeeded },
      byField(texts),
    ],
    answer: words.answer,
    check: ({ number }) => (number === String(run) ? null : words.typedNeeded(run)),
    send: ({ by, reason }) => {
      keepPerson(by);
      return send(by, reason);
    },
  };
}
