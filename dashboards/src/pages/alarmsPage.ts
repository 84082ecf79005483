import { html, nothing, type TemplateResult } from "lit-html";
import type { AlarmLive } from "../feed/contract";
import { alarmFacts } from "../state/alarmPrompt";
import { type Prompt, prompt } from "../state/promptTypes";
import type { CellView } from "../state/view";
import type { Texts } from "../texts/en";
import { promptBar, type Sending, shapes } from "./promptBar";

export interface AlarmsPageInput {
  readonly view: CellView | null;
  readonly alarms: readonly AlarmLive[];
  readonly prompts: readonly Prompt[];
  readonly sending: Sending | null;
  readonly clockMs: number;
  readonly lost: boolean;
  readonly texts: Texts;
  readonly head: TemplateResult;
  readonly acknowledge: (prompt: Prompt) => void;
  readonly history: TemplateResult;
}

const fact = (name: string, value: string, strong = false): TemplateResult =>
  html`<div><dt>${name}</dt><dd class=${strong ? "strong" : ""}>${value}</dd></div>`;

function card(alarm: AlarmLive, view: CellView, input: AlarmsPageInput): TemplateResult {
  const { texts } = input;
  const words = texts.alarms;
  const facts = alarmFacts(alarm, view, input.clockMs, texts);
  const { alarm: open } = facts.prompt;
  const mine = input.sending?.alarmId === alarm.id ? input.sending : null;
  return html`<article class=${`alarm ${facts.tone}`} data-testid=${`alarm-${alarm.id}`} data-state=${alarm.state}>
    ${shapes[facts.tone] ?? nothing}
    <div>
      <h2>${facts.what}</h2>
      <dl>
        ${fact(words.doThis, facts.action, true)} ${fact(words.since, facts.since)}
        ${facts.valueAndLimit === null ? nothing : fact(words.valueAndLimit, facts.valueAndLimit)}
        ${fact(words.state, words.states[alarm.state])}
      </dl>
      ${mine?.state === "failed" ? html`<p>${texts.alarm.acknowledgeFailed}</p>` : nothing}
    </div>
    ${
      open === null
        ? nothing
        : html`<button type="button" class="answer" ?disabled=${mine?.state === "sending" || input.lost} @click=${() => input.acknowledge(facts.prompt)}>${texts.alarm.acknowledge}</button>`
    }
  </article>`;
}

/** All alarms that are not normal, each with what to do; below them those that were. */
export function alarmsPage(input: AlarmsPageInput): TemplateResult {
  const { view, alarms, texts } = input;
  const words = texts.alarms;
  const summary =
    alarms.length === 0
      ? words.none
      : words.stand(alarms.length, alarms.filter((alarm) => alarm.state === "acknowledged").length);
  const tone = input.lost ? "unknown" : alarms.some((alarm) => alarm.state !== "acknowledged") ? "soon" : "calm";
  const said = input.lost ? input.prompts : [prompt(`alarms/${alarms.length}`, tone, summary, words.detail)];
  return html`${input.head} ${promptBar(said, input.sending, texts, input.acknowledge)}
    <div class="alarm-page">
      <section class="alarms" aria-label=${words.heading}>
        ${view === null ? nothing : alarms.map((alarm) => card(alarm, view, input))}
      </section>
      ${input.history}
    </div>`;
}
