import { nothing, type SVGTemplateResult, svg } from "lit-html";
import { measure } from "../state/inspect";
import { hottestAt, overlaid, pointAt } from "../state/overlay";
import * as write from "../texts/format";
import { cursorBox } from "./cursorBox";
import { xOf, yOf } from "./geometry";
import type { OverlaySheetInput, Side } from "./overlaySheet";

/** What both runs read at the cursor. */
function reading(side: Side, at_s: number, { texts }: OverlaySheetInput): string {
  const t = at_s - side.offset_s;
  const point = pointAt(side.temperature, t);
  const p = pointAt(side.pressure, t);
  const parts = [
    point === null
      ? null
      : write.withUnit(texts.figures.between(write.temperature(point.low), write.temperature(point.high)), "degC"),
    p === null ? null : write.withUnit(write.pressure(p.low), "mbar"),
  ].filter((part) => part !== null);
  return `${side.stored.detail.run.number}: ${parts.length === 0 ? texts.chart.noReading : parts.join(", ")}`;
}

/** What the hottest of a run read at mark and cursor, degC. */
const endsOf = (side: Side, from_s: number, to_s: number): readonly [number | null, number | null] => {
  const channels = overlaid(side.stored);
  return [
    hottestAt(side.stored, channels, from_s - side.offset_s),
    hottestAt(side.stored, channels, to_s - side.offset_s),
  ];
};

/** By how much a run's hottest has changed from mark to cursor, and how fast. */
function change(side: Side, from_s: number, to_s: number, { texts }: OverlaySheetInput): string {
  const [from, to] = endsOf(side, from_s, to_s);
  const { difference, slope } = measure(from_s, to_s, from, to);
  const parts = [
    difference === null ? null : write.withUnit(write.figure(difference, "K", true), "K"),
    slope === null ? null : write.withUnit(write.figure(slope, "K/s", true), "K/s"),
  ].filter((part) => part !== null);
  return `${side.stored.detail.run.number}: ${parts.length === 0 ? texts.chart.noReading : parts.join(", ")}`;
}

/** The cursor with what both runs read there, or with what lies between it and the mark. */
export function overlayCursor(input: OverlaySheetInput): SVGTemplateResult | typeof nothing {
  const { geometry: g, axis, cursor_s, mark_s, a, b, texts, place } = input;
  if (cursor_s === null) return nothing;
  const sides = [a, b];
  const parts =
    mark_s === null
      ? [
          texts.chart.cursor(write.runTime(cursor_s + input.zero_s)),
          ...sides.map((side) => reading(side, cursor_s, input)),
        ]
      : [
          texts.overlay.measured(`${write.fixed(cursor_s - mark_s, 1)}${write.nbsp}s`),
          ...sides.map((side) => change(side, mark_s, cursor_s, input)),
        ];
  const x = Math.round(xOf(g.plot, axis, cursor_s));
  const mark = mark_s === null ? null : Math.round(xOf(g.plot, axis, mark_s));
  const height = (value: number): number => yOf(g.plot, input.temperatures, value);
  return svg`<g class="cursor" data-testid="cursor">
    ${mark === null ? nothing : svg`<line class="mark-line" x1=${mark} x2=${mark} y1=${g.plot.top} y2=${g.floor}></line>`}
    ${
      mark === null || mark_s === null
        ? nothing
        : sides.map((side) => {
            const [from, to] = endsOf(side, mark_s, cursor_s);
            if (from === null || to === null) return nothing;
            return svg`<line class="slope" x1=${mark} y1=${height(from)} x2=${x} y2=${height(to)}></line>
              ${[from, to].map((value, i) => svg`<circle class="ring" cx=${i === 0 ? mark : x} cy=${height(value)} r="5"></circle>`)}`;
          })
    }
    <line class="cursor-line" x1=${x} x2=${x} y1="24" y2=${g.floor}></line>
    ${cursorBox(parts, x, mark !== null, g, place)}
  </g>`;
}
