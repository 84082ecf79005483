import { html, nothing, type TemplateResult } from "lit-html";
import type { AlarmLive } from "../feed/alarmContract";
import { type AlarmFacts, alarmFacts } from "../state/alarmPrompt";
import { plainLook } from "../state/closerLook";
import { type Prompt, prompt } from "../state/promptTypes";
import { addressOf } from "../state/route";
import type { CellView } from "../state/view";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import { type OrderKind, ordersFor } from "./alarmQuestions";
import { promptBar, type Sending, shapes } from "./promptBar";

export interface AlarmsPageInput {
  readonly view: CellView | null;
  readonly alarms: readonly AlarmLive[];
  /** Put aside, out of service or suppressed. */
  readonly hidden: readonly AlarmLive[];
  readonly prompts: readonly Prompt[];
  readonly sending: Sending | null;
  readonly clockMs: number;
  readonly lost: boolean;
  readonly texts: Texts;
  readonly head: TemplateResult;
  readonly acknowledge: (prompt: Prompt) => void;
  /** Asks for the words of an order; `what` names the alarm. */
  readonly order: (kind: OrderKind, alarm: AlarmLive, what: string) => void;
  readonly history: TemplateResult;
  readonly quality: TemplateResult;
}

const fact = (name: string, value: string, strong = false): TemplateResult | typeof nothing =>
  value === "" ? nothing : html`<div><dt>${name}</dt><dd class=${strong ? "strong" : ""}>${value}</dd></div>`;

/** Where the second at which it began can be looked at. */
function secondOf(alarm: AlarmLive, view: CellView): string | null {
  if (alarm.run === null || alarm.since === null) return null;
  const { cell } = view.layout;
  return view.run?.number === alarm.run && view.mode === "running"
    ? addressOf({
        place: "cell",
        cell,
        closer: { run: alarm.run, look: { ...plainLook, cursor_s: Math.max(0, (alarm.since - view.originMs) / 1000) } },
      })
    : addressOf({ place: "run", cell, run: alarm.run, atMs: alarm.since });
}

function answers(facts: AlarmFacts, alarm: AlarmLive, view: CellView, input: AlarmsPageInput): TemplateResult {
  const { texts } = input;
  const mine = input.sending?.alarmId === alarm.id ? input.sending : null;
  const second = secondOf(alarm, view);
  const button = (kind: OrderKind): TemplateResult =>
    html`<button type="button" class="plain" data-testid=${`order-${kind}`} ?disabled=${input.lost} @click=${() => input.order(kind, alarm, facts.what)}>${texts.orders[kind].button}</button>`;
  return html`<div class="alarm-answers" role="group" aria-label=${facts.what}>
    ${
      facts.prompt.alarm === null
        ? nothing
        : html`<button type="button" class="answer" ?disabled=${mine?.state === "sending" || input.lost} @click=${() => input.acknowledge(facts.prompt)}>${texts.alarm.acknowledge}</button>`
    }
    ${ordersFor(alarm.state).map(button)}
    ${second === null ? nothing : html`<a class="plain" href=${second}>${texts.orders.showSecond}</a>`}
  </div>`;
}

function card(alarm: AlarmLive, view: CellView, input: AlarmsPageInput): TemplateResult {
  const { texts } = input;
  const words = texts.alarms;
  const facts = alarmFacts(alarm, view, input.clockMs, texts);
  const mine = input.sending?.alarmId === alarm.id ? input.sending : null;
  const who = alarm.by === "" ? "" : ` ${texts.orders.byWhom(alarm.by, alarm.comment)}`;
  const until = alarm.until === null ? "" : ` ${texts.orders.until(write.clock(alarm.until))}`;
  return html`<article class=${`alarm ${facts.tone}`} data-testid=${`alarm-${alarm.id}`} data-state=${alarm.state}>
    ${shapes[facts.tone] ?? nothing}
    <div>
      <h2>${facts.what}</h2>
      <dl>
        ${fact(words.doThis, facts.action, true)} ${fact(texts.orders.howLong, facts.howLong)}
        ${fact(texts.orders.ifNobodyActs, facts.consequence)} ${fact(words.valueAndLimit, facts.valueAndLimit ?? "")}
        ${fact(words.since, facts.since)} ${fact(words.state, `${words.states[alarm.state]}${until}${who}`)}
      </dl>
      ${mine?.state === "failed" ? html`<p>${texts.alarm.acknowledgeFailed}</p>` : nothing}
    </div>
    ${answers(facts, alarm, view, input)}
  </article>`;
}

/** What is told to nobody now, a row each: it must not be forgotten. */
function hiddenList(view: CellView, input: AlarmsPageInput): TemplateResult | typeof nothing {
  const { hidden, texts } = input;
  const words = texts.orders;
  if (hidden.length === 0) return nothing;
  return html`<section class="hidden-alarms" aria-label=${words.hidden} data-testid="hidden-alarms">
    <h2>${words.hidden} <span class="second">${words.hiddenDetail}</span></h2>
    <ul>${hidden.map((alarm) => {
      const facts = alarmFacts(alarm, view, input.clockMs, texts);
      const until = alarm.until === null ? null : words.until(write.clock(alarm.until));
      const who = alarm.by === "" ? null : words.byWhom(alarm.by, alarm.comment);
      return html`<li data-testid=${`hidden-${alarm.id}`} data-state=${alarm.state}>
        <span><b>${facts.what}</b> <span class="second">${[texts.alarms.states[alarm.state], until, who].filter((part) => part !== null).join(" · ")}</span></span>
        <span class="alarm-answers">${ordersFor(alarm.state).map(
          (kind) =>
            html`<button type="button" class="plain" data-testid=${`order-${kind}`} ?disabled=${input.lost} @click=${() => input.order(kind, alarm, facts.what)}>${words[kind].button}</button>`,
        )}</span>
      </li>`;
    })}</ul>
  </section>`;
}

/** All alarms that are not normal, each with what to do; below them those that nobody is told of, and those that were. */
export function alarmsPage(input: AlarmsPageInput): TemplateResult {
  const { view, alarms, texts } = input;
  const words = texts.alarms;
  const summary =
    alarms.length === 0
      ? words.none
      : words.stand(alarms.length, alarms.filter((alarm) => alarm.state === "acknowledged").length);
  const tone = input.lost ? "unknown" : alarms.some((alarm) => alarm.state !== "acknowledged") ? "soon" : "calm";
  const said = input.lost
    ? input.prompts
    : [prompt(`alarms/${alarms.length}`, tone, summary, alarms.length === 0 ? words.noneDetail : words.detail)];
  return html`${input.head} ${promptBar(said, input.sending, texts, input.acknowledge)}
    <div class="alarm-page">
      <section class="alarms" aria-label=${words.heading}>
        ${view === null ? nothing : alarms.map((alarm) => card(alarm, view, input))}
      </section>
      ${view === null ? nothing : hiddenList(view, input)} ${input.quality} ${input.history}
    </div>`;
}
