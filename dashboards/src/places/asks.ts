import type { DecisionKind } from "../feed/papers";
import { byField } from "../pages/byField";
import { decisionQuestion } from "../pages/decisionBlock";
import { keepPerson } from "../state/person";
import type { RunPaper } from "../state/runPapers";
import * as write from "../texts/format";
import type { Surroundings } from "./context";

/** Asks who decides and why, and hands it on. */
export function askDecision(around: Surroundings, paper: RunPaper, kind: DecisionKind): void {
  around.dialog.ask(
    decisionQuestion(kind, paper, around.texts, ({ by, reason, reference, what }) =>
      around.papers.decide(paper.cell, paper.run, {
        kind,
        by,
        reason,
        reference: reference === "" ? null : reference,
        what: what ?? null,
      }),
    ),
  );
}

/** Asks for words to write at a moment of a run. */
export function askAnnotation(around: Surroundings, cell: number, run: number, at_s: number): void {
  const words = around.texts.annotate;
  around.dialog.ask({
    title: words.title(write.runTime(at_s)),
    detail: words.detail,
    fields: [
      { name: "text", label: words.text, kind: "lines", value: "", needed: words.needed },
      byField(around.texts),
    ],
    answer: words.answer,
    send: ({ text, by }) => {
      keepPerson(by);
      return around.papers.annotate(cell, run, { at_s, text }, by);
    },
  });
}
