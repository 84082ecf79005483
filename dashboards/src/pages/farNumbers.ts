import { html, type TemplateResult } from "lit-html";
import type { RunLive } from "../feed/contract";
import { phaseNow } from "../state/carriers";
import type { CellView, ChannelView } from "../state/view";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import { toShown } from "../texts/units";

/** Whichever of two channels is further that way; one without a reading is behind every other. */
const further =
  (way: 1 | -1) =>
  (best: ChannelView | null, channel: ChannelView): ChannelView | null =>
    channel.value !== null && (best === null || (channel.value - (best.value ?? 0)) * way > 0) ? channel : best;

function farNumber(run: RunLive | null, view: CellView, alarmed: ReadonlySet<string>, texts: Texts): TemplateResult {
  const boards = view.channels.filter(
    ({ style, layout }) => style > 0 && (run === null || layout.carrier === null || layout.carrier === run.carrier),
  );
  // What an alarm is about is looked for first, even from afar; else the coolest board, the last to be where it must be.
  const worst = boards.filter(({ layout }) => alarmed.has(layout.id)).reduce(further(1), null);
  const coolest = boards.reduce(further(-1), null);
  const far = worst ?? coolest ?? view.temperatures.find(({ layout }) => layout.role === "vapour") ?? null;
  const phase = run === null ? null : phaseNow(run);
  return html`<h2>${run === null ? "" : texts.head.carrierName(run.carrier)}</h2>
    <p class=${far?.stale === true ? "far-value old" : "far-value"} data-testid="far-value">
      ${far === null || far.value === null ? "–" : write.fixed(toShown(far.value, "degC", write.shownUnits()), 0)}<small> ${write.unit("degC")}</small>
    </p>
    <p class=${worst === null ? "" : "far-alarmed"} data-testid="far-name">${far === null ? texts.chart.noReading : far === worst || coolest === null ? far.layout.name : texts.head.coolest(far.layout.name)}</p>
    <p class="second">${phase === null ? "" : (texts.phaseNames[phase] ?? phase)}</p>`;
}

/** From afar one number a carrier is enough. */
export function farNumbers(view: CellView, alarmed: ReadonlySet<string>, texts: Texts): TemplateResult {
  const runs =
    view.run === null || view.beside === null
      ? [view.run]
      : [view.run, view.beside].toSorted((a, b) => (a.carrier < b.carrier ? -1 : 1));
  return html`<section class="far">${runs.map((run) => html`<div>${farNumber(run, view, alarmed, texts)}</div>`)}</section>`;
}
