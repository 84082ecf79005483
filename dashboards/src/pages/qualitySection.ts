import { html, nothing, type TemplateResult } from "lit-html";
import type { CellLayout } from "../feed/layoutContract";
import { type AlarmQuality, type QualitySpan, qualitySpans } from "../feed/quality";
import { namingOf } from "../state/alarmPrompt";
import type { Asked } from "../state/asked";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";

export interface QualityInput {
  readonly span: QualitySpan;
  readonly asked: Asked<AlarmQuality>;
  readonly layout: CellLayout | null;
  readonly texts: Texts;
  readonly choose: (span: QualitySpan) => void;
}

const percent = (share: number): string =>
  `${write.fixed(share * 100, share < 0.1 && share > 0 ? 1 : 0)}${write.nbsp}%`;

/** An alarm's id in words: its condition, and where. */
export function alarmName(id: string, layout: CellLayout | null, texts: Texts): string {
  const [condition, ...place] = id.split("/");
  const last = place.at(-1) ?? "";
  const known = layout === null ? null : namingOf(layout).channel(last);
  const device = layout?.devices.find((candidate) => candidate.id === last)?.name ?? null;
  const named = place.map((part) => (texts.figures.names[part] ? texts.lower(texts.figures.names[part]) : part));
  const where = device ?? (known === last || known === null ? named.join(", ") : known);
  return texts.alarm
    .general(texts.alarm.conditions[condition] ?? condition, where === "" || where === null ? null : where)
    .replace(/\.$/, "");
}

interface Measure {
  readonly id: string;
  readonly value: string;
  readonly what: string;
  readonly aim: string | null;
  /** Missed its aim. */
  readonly missed: boolean;
}

function measures(found: AlarmQuality, texts: Texts): readonly Measure[] {
  const words = texts.quality;
  const plain = (id: string, value: string, what: string): Measure => ({ id, value, what, aim: null, missed: false });
  const span = (s: number | null): string => (s === null ? "–" : write.span(s));
  return [
    plain("told", String(found.told), words.told),
    {
      id: "mean",
      value: write.fixed(found.perTenMinutes, 2),
      what: words.perTenMinutes,
      aim: words.atMost("1"),
      missed: found.perTenMinutes > 1,
    },
    {
      id: "most",
      value: String(found.mostInTenMinutes),
      what: words.most,
      aim: words.atMost("10"),
      missed: found.mostInTenMinutes > 10,
    },
    {
      id: "flood",
      value: percent(found.floodShare),
      what: words.flood,
      aim: words.below(percent(0.01).replace(".0", "").replace(",0", "")),
      missed: found.floodShare >= 0.01,
    },
    {
      id: "chattering",
      value: String(found.chattering.length),
      what: words.chattering,
      aim: words.atMost("0"),
      missed: found.chattering.length > 0,
    },
    plain("fleeting", String(found.fleeting), words.fleeting),
    {
      id: "stale",
      value: String(found.stale.length),
      what: words.stale,
      aim: words.below("5"),
      missed: found.stale.length >= 5,
    },
    plain("median", span(found.medianToAcknowledge_s), words.median),
    plain("ninety", span(found.ninetyPercentToAcknowledge_s), words.ninety),
    plain("never", String(found.neverAcknowledged), words.never),
    {
      id: "priorities",
      value: [found.priorities.high, found.priorities.medium, found.priorities.low].map(percent).join(" · "),
      what: words.priorities,
      aim: words.aimShares,
      missed: false,
    },
  ];
}

const triangle = html`<svg class="mark soon" width="14" height="12" viewBox="0 0 14 12" aria-hidden="true"><path d="M7 0L14 12H0Z"></path></svg>`;

function body(found: AlarmQuality, input: QualityInput): TemplateResult {
  const { texts } = input;
  const words = texts.quality;
  if (found.told === 0) return html`<p class="second" data-testid="quality-none">${words.none}</p>`;
  return html`<dl class="measures">${measures(found, texts).map(
    (one) =>
      html`<div class=${one.missed ? "measure missed" : "measure"} data-testid=${`quality-${one.id}`}><dd>${one.missed ? triangle : nothing}<b>${one.value}</b></dd><dt>${one.what}${one.aim === null ? nothing : html`<small>${one.aim}</small>`}</dt></div>`,
  )}</dl>
    <h3>${words.frequent} <span class="second">${words.share(percent(found.topTenShare))}</span></h3>
    <ol class="frequent">${found.mostFrequent.map(
      (one) =>
        html`<li data-testid="frequent"><span class="frequent-name">${alarmName(one.alarmId, input.layout, texts)}</span><span class="frequent-bar" aria-hidden="true"><i .style=${`width: ${Math.max(1, (one.told / found.mostFrequent[0].told) * 100)}%`}></i></span><span>${words.times(one.told)}${found.chattering.includes(one.alarmId) ? html` · <b>${texts.lower(words.chattering.split(":")[0])}</b>` : nothing}</span></li>`,
    )}</ol>`;
}

/** How often alarms called, how fast somebody saw them, and which of them call for nothing. */
export function qualitySection(input: QualityInput): TemplateResult {
  const { asked, texts } = input;
  const words = texts.quality;
  return html`<section class="quality" aria-label=${words.heading}>
    <h2>${words.heading}
      <span class="choice" role="group" aria-label=${words.heading}>${qualitySpans.map((span) => html`<button type="button" data-testid=${`span-${span}`} aria-pressed=${span === input.span} @click=${() => input.choose(span)}>${words.spans[span]}</button>`)}</span></h2>
    <p class="second">${words.detail}</p>
    ${
      asked.kind === "here"
        ? body(asked.value, input)
        : html`<p class="second">${asked.kind === "asking" ? words.asking : `${words.failed} ${asked.words ?? ""}`}</p>`
    }
  </section>`;
}
