import { html, nothing, svg, type TemplateResult } from "lit-html";
import type { PairedFigure } from "../state/overlay";
import { barScale } from "../state/windowBar";
import * as write from "../texts/format";
import { type BarContext, figureName, valueText } from "./bar";

/** A window bar with two ticks: filled the run, hollow the one laid over it. */
export function pairBar(pair: PairedFigure, context: BarContext): TemplateResult {
  const { texts, width } = context;
  const { a, b, difference } = pair;
  const scale = barScale(
    a.lower,
    a.upper,
    a.unit === "degC" ? Math.min(context.liquidus, a.upper ?? context.liquidus) : 0,
  );
  const x = (part: number): number => Math.min(Math.max(part, 0), 1) * width;
  const tick = (value: number): number => Math.min(Math.max(x(scale.at(value)), 2.5), width - 2.5);
  const differenceUnit = a.unit === "degC" ? "K" : a.unit;
  const words = texts.overlay;
  const distance = (value: number): string =>
    write.withUnit(write.figure(Math.abs(value), differenceUnit, true), differenceUnit);
  const said =
    difference === null
      ? texts.figures.unknown
      : distance(difference) === distance(0)
        ? words.equal
        : pair.u !== null && Math.abs(difference) <= pair.u
          ? words.within(distance(pair.u))
          : difference > 0
            ? words.more(distance(difference))
            : words.less(distance(difference));
  const [first, second] = [valueText(a, texts), valueText(b, texts)];
  const limit = (value: number, part: number): TemplateResult =>
    svg`<line class="bar-limit" x1=${x(part)} x2=${x(part)} y1="1" y2="21"></line><text class="second" x=${x(part)} y="35" text-anchor="middle">${write.limit(value, a.unit)}</text>` as TemplateResult;
  const where = a.channel === null ? "" : context.channelName(a.channel);
  return html`<div class="figure pair" data-testid=${`pair-${a.figure}`}>
    <div class="figure-head"><span class="figure-name">${figureName(a, context)}</span><span class="figure-where">${where}</span>
      <span class="figure-value"><b>${first.value}</b> <span>${second.value}</span> ${first.unit}</span></div>
    <svg width=${width} height="42" viewBox=${`0 0 ${width} 42`} aria-hidden="true">
      <line class="bar-axis" x1="0" x2=${width} y1="11" y2="11"></line>
      <rect class="band" x=${x(scale.bandFrom)} y="4" width=${x(scale.bandTo) - x(scale.bandFrom)} height="14"></rect>
      ${a.lower === null ? nothing : limit(a.lower, scale.bandFrom)}${a.upper === null || a.upper === a.lower ? nothing : limit(a.upper, scale.bandTo)}
      ${b.value === null ? nothing : svg`<rect class="hollow" x=${tick(b.value) - 2.5} y="1" width="5" height="20"></rect>`}
      ${a.value === null ? nothing : svg`<rect class="tick" x=${tick(a.value) - 2.5} y="0" width="5" height="22"></rect>`}
      <text class="bar-words" x=${x(scale.bandFrom === scale.bandTo ? 0.75 : (scale.bandFrom + scale.bandTo) / 2)} y="35" text-anchor="middle">${said}</text>
    </svg>
  </div>`;
}
