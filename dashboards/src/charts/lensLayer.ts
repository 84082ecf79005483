import { nothing, type SVGTemplateResult, svg } from "lit-html";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import { type FrameInput, fits } from "./frameTypes";
import type { Gate } from "./gate";
import { xOf, yOf } from "./geometry";
import type { Lens } from "./lens";

/** The gate on a liquidus line that stands at height y. */
export function gateAt(
  gate: Gate,
  y: number,
  x: (seconds: number) => number,
  least: number,
  greatest: number,
  words: Texts["chart"] | null,
): SVGTemplateResult {
  const from = Math.min(Math.max(gate.from_s === null ? least : x(gate.from_s), least), greatest);
  const to = Math.min(Math.max(gate.to_s === null ? greatest : x(gate.to_s), least), greatest);
  if (to - from < 2) return svg``;
  const tick = (at: number, value: number | null, bold: boolean) =>
    value === null || at <= least || at >= greatest
      ? nothing
      : svg`<line class="gate-end" x1=${at} x2=${at} y1=${y - 8} y2=${y + 8}></line>
        ${words === null ? nothing : svg`<text class=${bold ? "strong halo" : "second halo"} x=${at} y=${y + 24} text-anchor="middle">${`${write.limit(value)}${write.nbsp}s`}</text>`}`;
  return svg`<g class="gate" data-testid="gate">
    <rect class="gate-band" x=${from} y=${y - 5} width=${to - from} height="10"></rect>
    ${tick(from, gate.lower, false)}${tick(to, gate.upper, true)}
    ${words !== null && fits(words.mustFall, to - from - 60, "desk") ? svg`<text class="second halo" x=${(from + to) / 2} y=${y + 24} text-anchor="middle">${words.mustFall}</text>` : nothing}
  </g>`;
}

/** Everything of the lens but its curves. */
export function lensFrame(input: FrameInput, lens: Lens): SVGTemplateResult {
  const { geometry: g, axis, temperatures, spec, texts } = input;
  const { box } = lens;
  const right = box.left + box.width;
  const sourceTop = yOf(g.plot, temperatures, lens.y.max);
  const sourceBottom = yOf(g.plot, temperatures, lens.y.min);
  const marks: { value: number; kind: string }[] = [];
  const add = (value: number | null, kind: string): void => {
    if (value === null || value <= lens.y.min || value >= lens.y.max) return;
    if (marks.some((mark) => Math.abs(yOf(box, lens.y, mark.value) - yOf(box, lens.y, value)) < 16)) return;
    marks.push({ value, kind });
  };
  add(spec?.liquidus ?? null, "liquidus");
  add(input.peakLimit, "limit");
  add(input.lowPeakLimit, "limit");
  for (let v = Math.ceil(lens.y.min / 5) * 5; v < lens.y.max; v += 5) add(v, "hair");
  // Where now would pass through the title, it stands beside now.
  const title = texts.chart.lens(lens.times);
  const now = xOf(g.plot, axis, input.now.at_s);
  // On a wall no labels stand beside the lens.
  const edge = input.place === "wall" ? g.width : right;
  // Its letters, small ones all, are narrower than the usual.
  const room = (edge - now - 8) * 1.2;
  const beside = now > box.left && !fits(title, (now - box.left) * 1.2, input.place) && fits(title, room, input.place);
  return svg`<g class="lens" data-testid="lens">
    <rect class="lens-source" x=${box.left} y=${sourceTop} width=${box.width} height=${sourceBottom - sourceTop}></rect>
    <text class="second halo" x=${beside ? now + 8 : box.left} y=${box.top - 8}>${title}</text>
    <rect class="lens-frame" x=${box.left - 0.5} y=${box.top - 0.5} width=${box.width + 1} height=${box.height + 1}></rect>
    ${marks.map(
      ({
        value,
        kind,
      }) => svg`<line class=${kind} x1=${box.left} x2=${right} y1=${yOf(box, lens.y, value)} y2=${yOf(box, lens.y, value)}></line>
      <text class="second halo" x=${box.left - 6} y=${yOf(box, lens.y, value) + 5} text-anchor="end">${write.limit(value, "degC")}</text>`,
    )}
    ${input.gate === null ? nothing : gateAt(input.gate, yOf(box, lens.y, input.gate.level), (t) => xOf(g.plot, axis, t), box.left, right, texts.chart)}
  </g>`;
}
