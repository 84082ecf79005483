import { html, nothing, type TemplateResult } from "lit-html";
import { lagPlot } from "../charts/lagPlot";
import type { FeedOrder, FeedState, LagHour, RefusedLine } from "../feed/feeds";
import type { Asked } from "../state/asked";
import type { Prompt } from "../state/promptTypes";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import { feedOrders } from "./feedQuestions";
import { promptBar } from "./promptBar";
import { when } from "./when";

/** Refused lines of the feed that somebody looks into. */
export interface ShownLines {
  readonly id: string;
  readonly lines: readonly RefusedLine[];
  readonly more: boolean;
  readonly asked: Asked<null>;
}

export interface FeedsPageInput {
  readonly feeds: readonly FeedState[];
  readonly prompts: readonly Prompt[];
  readonly lags: ReadonlyMap<string, LagHour>;
  readonly shown: ShownLines | null;
  readonly nowMs: number;
  readonly plotWidth: number;
  readonly head: TemplateResult;
  readonly texts: Texts;
  readonly exportOf: (id: string) => string;
  readonly order: (what: FeedOrder, feed: FeedState) => void;
  readonly show: (id: string | null) => void;
  readonly more: () => void;
}

const plotHeight = 72;
const fact = (name: string, value: TemplateResult | string | typeof nothing, testid?: string): TemplateResult =>
  html`<div><dt>${name}</dt><dd data-testid=${testid ?? nothing}>${value}</dd></div>`;

/** The rule of precision in the reader's language; a rule that is not known here stands as the service says it. */
const precisionOf = (said: string, texts: Texts): string =>
  texts.feeds.precisions.find(([begin]) => said.startsWith(begin))?.[1] ?? said;

/** How finely times are sent, and what of that the target cannot tell apart. */
function precision(feed: FeedState, texts: Texts): TemplateResult {
  const words = texts.feeds;
  const close = feed.closeDevices.map((one) => words.deviceOf(one.device, one.cell)).join(", ");
  const said = [
    ...(close === "" ? [] : [words.ownPace(close)]),
    ...(feed.sharedTimes === 0 ? [] : [words.sharedTimes(feed.sharedTimes)]),
  ];
  return html`<span>${precisionOf(feed.precision, texts)}</span>${said.length === 0 ? nothing : html` <span class="second">${said.join(" ")}${feed.kind === "influx" ? ` ${words.inFull}` : ""}</span>`}`;
}

function button(what: FeedOrder, feed: FeedState, input: FeedsPageInput): TemplateResult {
  return html`<button type="button" class="plain" data-testid=${`${what.replace("/", "-")}-${feed.id}`} @click=${() => input.order(what, feed)}>${input.texts.feeds.orders[what].button}</button>`;
}

function lag(feed: FeedState, input: FeedsPageInput): TemplateResult {
  const { texts, lags } = input;
  const words = texts.feeds;
  const hour = lags.get(feed.id);
  const worst = hour === undefined ? null : Math.max(...hour.steps.map((step) => step.lagSeconds), 0);
  return html`<figure class="lag">
    <figcaption>${words.lastHour} <span class="second">${hour === undefined || hour.steps.length === 0 ? words.notYet : words.worst(write.span(worst ?? 0))}, ${words.limit(write.wholeSpan(feed.alarmAfterSeconds))}</span></figcaption>
    ${lagPlot(hour ?? { stepSeconds: 30, steps: [] }, feed.alarmAfterSeconds, input.nowMs, input.plotWidth, plotHeight)}
  </figure>`;
}

function past(feed: FeedState, input: FeedsPageInput): TemplateResult | typeof nothing {
  const words = input.texts.feeds;
  if (feed.backfills.length === 0) return nothing;
  return fact(
    words.past,
    html`${feed.backfills.map((one) => {
      const said = words.progress(`${write.fixed(Math.floor(one.share * 100), 0)}${write.nbsp}%`, one.lane);
      return html`<span class="progress"><progress max="1" value=${one.share} aria-label=${said}></progress> ${said}${one.owed ? html` <span class="second">${words.owed}</span>` : nothing}</span>`;
    })}${feed.backfills.some((one) => !one.owed) ? button("backfill/cancel", feed, input) : nothing}`,
    `past-${feed.id}`,
  );
}

function lines(shown: ShownLines, input: FeedsPageInput): TemplateResult {
  const { texts } = input;
  const words = texts.feeds;
  const table = html`<div class="scroll-x" tabindex="0" role="group" aria-label=${words.refusedLines}><table data-testid="refused">
    <thead><tr><th scope="col">${words.time}</th><th scope="col">${words.words}</th><th scope="col">${words.line}</th></tr></thead>
    <tbody>${shown.lines.map((line) => {
      const at = Date.parse(line.time);
      return html`<tr><td>${when(at, `${write.day(at)}, ${write.clock(at)}`)}</td><td>${line.words}</td><td><code>${line.line}</code></td></tr>`;
    })}</tbody>
  </table></div>`;
  return html`<div class="refused">
    ${shown.lines.length > 0 ? table : nothing}
    ${
      shown.asked.kind === "failed"
        ? html`<p>${shown.asked.words ?? texts.runs.noAnswer} <button type="button" class="plain" @click=${input.more}>${texts.runs.again}</button></p>`
        : shown.asked.kind === "asking"
          ? html`<p class="second">${words.fetching}</p>`
          : shown.more
            ? html`<button type="button" class="plain" data-testid="more-refused" @click=${input.more}>${words.more}</button>`
            : nothing
    }
  </div>`;
}

function refused(feed: FeedState, input: FeedsPageInput): TemplateResult {
  const words = input.texts.feeds;
  const { quarantine } = feed;
  if (quarantine.lines === 0) return fact(words.refusedLines, words.noneRefused, `refused-${feed.id}`);
  const since = Date.parse(quarantine.since ?? "");
  const mine = input.shown?.id === feed.id ? input.shown : null;
  return fact(
    words.refusedLines,
    html`<span>${words.since(quarantine.lines, `${write.day(since)}, ${write.clock(since)}`)}${quarantine.resending > 0 ? html`; ${words.resending(quarantine.resending)}` : nothing}</span>
      <span class="second">${words.lastError}: ${quarantine.words}</span>
      <span class="feed-answers">
        <button type="button" class="plain" data-testid=${`show-${feed.id}`} aria-expanded=${mine === null ? "false" : "true"} @click=${() => input.show(mine === null ? feed.id : null)}>${mine === null ? words.show : words.hide}</button>
        ${button("quarantine/retry", feed, input)} ${button("quarantine/discard", feed, input)}
        ${quarantine.isNew ? button("quarantine/acknowledge", feed, input) : nothing}
        <a class="plain" href=${input.exportOf(feed.id)} download>${words.asFile}</a>
      </span>`,
    `refused-${feed.id}`,
  );
}

function block(feed: FeedState, input: FeedsPageInput): TemplateResult {
  const { texts } = input;
  const words = texts.feeds;
  const late = feed.lagSeconds >= feed.alarmAfterSeconds;
  const mine = input.shown?.id === feed.id ? input.shown : null;
  return html`<section class="feed" aria-labelledby=${`feed-${feed.id}`} data-testid=${`feed-${feed.id}`} data-state=${feed.state} tabindex="-1">
    <header><h2 id=${`feed-${feed.id}`}>${feed.id}</h2> <span class="second">${words.kinds[feed.kind] ?? feed.kind}, ${feed.target}</span>
      <span class="feed-answers">${feedOrders(feed).map((what) => button(what, feed, input))}</span></header>
    <div class="feed-body">
      <dl>
        ${fact(words.state, html`${words.states[feed.state] ?? feed.state}${feed.failures > 0 ? html`, ${words.attempts(feed.failures)}` : nothing}`, `state-${feed.id}`)}
        ${fact(words.lag, html`<span class=${late ? "late" : ""}>${write.span(feed.lagSeconds)}</span>`, `lag-${feed.id}`)}
        ${fact(words.backlog, write.fixed(feed.backlogEntries, 0), `backlog-${feed.id}`)}
        ${feed.reason === "" ? nothing : fact(words.why, feed.reason, `reason-${feed.id}`)}
        ${fact(words.precision, precision(feed, texts), `precision-${feed.id}`)}
        ${fact(words.cells, feed.cells.join(", "))}
        ${past(feed, input)} ${refused(feed, input)}
      </dl>
      ${lag(feed, input)}
    </div>
    ${mine === null ? nothing : lines(mine, input)}
  </section>`;
}

/** To whom the record is sent, how late each is, and what can be asked of it. */
export function feedsPage(input: FeedsPageInput): TemplateResult {
  return html`${input.head} ${promptBar(input.prompts, null, input.texts, () => undefined)}
    <div class="feeds">${input.feeds.map((feed) => block(feed, input))}</div>`;
}
