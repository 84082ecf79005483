import { html, nothing, type TemplateResult } from "lit-html";
import type { Place } from "../charts/geometry";
import { type Decision, type DecisionKind, decisionKinds } from "../feed/papers";
import { keepPerson } from "../state/person";
import type { RunPaper } from "../state/runPapers";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import type { Question } from "./askDialog";
import { byField } from "./byField";
import { when } from "./when";

/** What a decision says: what, by whom, when, why, on what it rests. */
function words(decision: Decision, texts: Texts): TemplateResult {
  const atMs = Date.parse(decision.time);
  const { run, decide } = texts;
  return html`${run.decisions[decision.kind]}${decision.what === null ? nothing : html` (${decision.what})`}
    ${when(atMs, decide.by(decision.by, `${write.day(atMs)}, ${write.clock(atMs)}`))}${decision.reason === "" ? nothing : html`: ${decision.reason}`}${
      decision.reference === null || decision.reference === "" ? nothing : html` · ${decision.reference}`
    }`;
}

/** The question that a decision needs answered: who, why, and on what it rests. */
export function decisionQuestion(
  kind: DecisionKind,
  paper: RunPaper,
  texts: Texts,
  send: (values: Readonly<Record<string, string>>) => Promise<void>,
): Question {
  const { run, decide } = texts;
  const before = paper.decisions.kind === "here" ? (paper.decisions.value.at(-1) ?? null) : null;
  return {
    title: decide.title[kind](paper.run),
    detail: before === null ? decide.detail : decide.again(run.decisions[before.kind], before.by),
    fields: [
      ...(kind === "inspect"
        ? [{ name: "what", label: decide.what, kind: "text", value: "", needed: decide.whatNeeded } as const]
        : []),
      { name: "reason", label: decide.reason, kind: "lines", value: "", needed: decide.reasonNeeded },
      { name: "reference", label: decide.reference, kind: "text", value: "", needed: null },
      byField(texts),
    ],
    answer: decide.answer[kind],
    send: (values) => {
      keepPerson(values.by);
      return send(values);
    },
  };
}

/**
 * What has been decided of a run, and what can be. A decision never replaces one before it: what was decided stays
 * readable below, and a further one stands over it.
 */
export function decisionBlock(
  paper: RunPaper,
  place: Place,
  texts: Texts,
  decide: (kind: DecisionKind) => void,
): TemplateResult {
  const { run, decide: says } = texts;
  const { decisions } = paper;
  const all = decisions.kind === "here" ? decisions.value : [];
  const last = all.at(-1) ?? null;
  const stands =
    decisions.kind === "asking"
      ? says.asked
      : decisions.kind === "failed"
        ? says.unknown
        : last === null
          ? run.noDecision
          : words(last, texts);
  const short = last === null ? run.noDecision : run.decisions[last.kind];
  const body = html`<h2>${run.decision} <span data-testid="decision">${stands}</span></h2>
    <div class="decide" role="group" aria-label=${says.label}>
      ${decisionKinds.map(
        (kind) =>
          html`<button type="button" data-testid=${`decide-${kind}`} aria-pressed=${last?.kind === kind} ?disabled=${decisions.kind !== "here"} @click=${() => decide(kind)}>${says.short[kind]}</button>`,
      )}
    </div>
    ${
      all.length < 2
        ? nothing
        : html`<details class="decided-before"><summary>${says.before(all.length - 1)}</summary><ol reversed>${[...all]
            .slice(0, -1)
            .reverse()
            .map((decision) => html`<li>${words(decision, texts)}</li>`)}</ol></details>`
    }`;
  // On the panel the curves need the height: the five choices come when they are asked for.
  return place === "touch"
    ? html`<details class="decision" data-testid="decision-block"><summary data-testid="decide">${says.label}<small>${decisions.kind === "here" ? short : stands}</small></summary>${body}</details>`
    : html`<section class="decision" aria-label=${run.decision} data-testid="decision-block">${body}</section>`;
}
