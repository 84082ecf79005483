import { html, nothing, svg, type TemplateResult } from "lit-html";
import type { CellLayout } from "../feed/layoutContract";
import type { AlarmHistory, Episode } from "../state/alarmHistory";
import { namingOf, toneOf } from "../state/alarmPrompt";
import { unitOfAlarm } from "../state/figureUnits";
import { addressOf } from "../state/route";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import { when } from "./when";

export interface HistoryInput {
  readonly history: AlarmHistory;
  readonly layout: CellLayout | null;
  readonly nowMs: number;
  readonly width: number;
  readonly texts: Texts;
}

const day_ms = 24 * 3600 * 1000;
const stripHeight = 54;
const tone = (episode: Episode): string => toneOf({ condition: episode.condition, state: "unacknowledged" });

/** A day of alarms on a line: where they crowd, something chatters. */
function dayStrip(input: HistoryInput): TemplateResult {
  const { nowMs, width, texts } = input;
  const from = nowMs - day_ms;
  const x = (ms: number): number => Math.max(0, ((ms - from) / day_ms) * width);
  const hours: number[] = [];
  const step_ms = (width < 700 ? 6 : 2) * 3600 * 1000;
  for (let t = Math.ceil(from / step_ms) * step_ms; t <= nowMs; t += step_ms) hours.push(t);
  const shown = input.history.episodes.filter((episode) => (episode.endedMs ?? nowMs) >= from);
  return html`<svg class="day-strip" width=${width} height=${stripHeight} aria-hidden="true">
    ${hours.map((t) => svg`<line class="hair" x1=${x(t)} x2=${x(t)} y1="0" y2="30"></line><text class="second" x=${Math.min(Math.max(x(t), 20), width - 20)} y="48" text-anchor="middle">${write.clock(t).slice(0, 5)}</text>`)}
    <line class="rule" x1="0" x2=${width} y1="30" y2="30"></line>
    ${shown.map((episode) => {
      const left = x(episode.beganMs ?? from);
      const kind = tone(episode);
      return svg`<rect class=${`day-mark ${kind}`} fill=${kind === "unknown" ? "url(#bar-hatch)" : nothing} x=${left} y="6" width=${Math.max(4, x(episode.endedMs ?? nowMs) - left)} height="22"></rect>`;
    })}
    <title>${texts.history.last24}</title>
  </svg>`;
}

const signs: Record<string, TemplateResult> = {
  act: html`<svg class="mark act" width="14" height="14" aria-hidden="true"><rect x="1" y="1" width="12" height="12"></rect></svg>`,
  soon: html`<svg class="mark soon" width="14" height="12" viewBox="0 0 14 12" aria-hidden="true"><path d="M7 0L14 12H0Z"></path></svg>`,
  unknown: html`<svg class="mark" width="12" height="12" aria-hidden="true"><rect class="unknown" x=".5" y=".5" width="11" height="11" fill="url(#bar-hatch)"></rect></svg>`,
};

function row(episode: Episode, input: HistoryInput): TemplateResult {
  const { texts, layout } = input;
  const words = texts.history;
  const naming = layout === null ? null : namingOf(layout);
  const device = layout?.devices.find((candidate) => episode.alarmId.endsWith(`/${candidate.id}`))?.name ?? null;
  const channel = naming?.channel(episode.channel) ?? device;
  const unit = naming === null ? "" : unitOfAlarm(episode, naming.unit);
  const measured = unit !== "";
  const number = (value: number | null): string | null =>
    value === null || !measured ? null : write.withUnit(write.figure(value, unit, true), unit);
  const value = number(episode.value);
  const limit = number(episode.limit);
  const lasted =
    episode.endedMs === null
      ? words.goesOn
      : episode.beganMs === null
        ? "–"
        : write.span((episode.endedMs - episode.beganMs) / 1000);
  const after = (ms: number): string => write.span((ms - (episode.beganMs ?? ms)) / 1000);
  const seen =
    episode.seenMs === null
      ? words.notSeen
      : episode.endedMs !== null && episode.seenMs >= episode.endedMs
        ? words.seenLater(after(episode.seenMs))
        : words.seen(after(episode.seenMs));
  const figure = episode.condition === "limit" ? episode.figure : null;
  const parts = [figure === null ? null : texts.lower(texts.figures.names[figure] ?? figure), channel];
  const place = parts.filter((part) => part !== null).join(", ");
  const what = texts.alarm
    .general(texts.alarm.conditions[episode.condition] ?? episode.condition, place === "" ? null : place)
    .replace(/\.$/, "");
  const done = episode.doings.map((doing) => {
    // That somebody has seen it stands beside how long it lasted.
    const who = texts.orders.byWhom(doing.by, doing.comment);
    return doing.kind === "shelve"
      ? texts.orders.steps.shelve(who, doing.untilMs === null ? "–" : write.clock(doing.untilMs))
      : texts.orders.steps[doing.kind](who);
  });
  return html`<tr data-testid="episode">
    <td class="sign">${signs[tone(episode)] ?? nothing}</td>
    <td>${episode.beganMs === null ? words.earlier : when(episode.beganMs, `${write.day(episode.beganMs)}, ${write.clock(episode.beganMs)}`)}</td>
    <th scope="row">${what}${episode.predicted ? html` <span class="second">${words.predicted}</span>` : nothing}</th>
    <td>${value === null ? "" : limit === null ? value : texts.alarm.valueAndLimit(value, limit).replace(/\.$/, "")}</td>
    <td>${lasted}<span class="second seen">${seen}</span></td>
    <td class="done">${done.length === 0 ? html`<span class="second">${texts.orders.nobody}</span>` : done.map((one) => html`<span>${one}</span>`)}</td>
    <td>${episode.run === null || layout === null ? words.betweenRuns : html`<a href=${addressOf({ place: "run", cell: layout.cell, run: episode.run, atMs: episode.beganMs })}>${words.run(episode.run)}</a>`}</td>
  </tr>`;
}

/** Alarms that were, newest first, each with what became of it. */
export function historySection(input: HistoryInput): TemplateResult {
  const { history, texts } = input;
  const words = texts.history;
  const { asked, episodes } = history;
  const foot =
    asked.kind === "failed"
      ? html`${words.failed} ${asked.words ?? texts.runs.noAnswer} <button type="button" class="plain" @click=${history.next}>${texts.runs.again}</button>`
      : asked.kind === "asking"
        ? words.fetching
        : history.more
          ? html`<button type="button" class="plain" data-testid="older-alarms" @click=${history.next}>${words.more}</button>`
          : episodes.length === 0
            ? words.none
            : words.end;
  return html`<section class="history" aria-label=${words.heading}>
    <h2>${words.heading} <span class="second">${words.last24}</span></h2>
    ${dayStrip(input)}
    ${
      episodes.length === 0
        ? nothing
        : html`<div class="scroll-x" tabindex="0" role="group" aria-label=${words.heading}><table>
            <thead><tr><th></th><th scope="col">${words.began}</th><th scope="col">${words.what}</th><th scope="col">${words.valueAndLimit}</th><th scope="col">${words.lasted}</th><th scope="col">${texts.orders.done}</th><th scope="col">${words.where}</th></tr></thead>
            <tbody>${episodes.map((episode) => row(episode, input))}</tbody>
          </table></div>`
    }
    <p class="list-foot second">${foot}</p>
  </section>`;
}
