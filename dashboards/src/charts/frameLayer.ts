import { nothing, type SVGTemplateResult, svg } from "lit-html";
import type { SpecLayout } from "../feed/contract";
import { timeStep } from "../state/timeAxis";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import type { Gate } from "./gate";
import { type Place, type Range, type SheetGeometry, xOf, yOf, yOfPressure } from "./geometry";
import type { Lens } from "./lens";
import type { RibbonPiece } from "./ribbon";

/** A stretch without readings; `top` and `bottom` in px. */
export interface HatchPiece {
  readonly from_s: number;
  readonly to_s: number;
  readonly top: number;
  readonly bottom: number;
  /** Height of a ring where one channel's trouble began; null for whole strips. */
  readonly ring: number | null;
}

export interface FrameInput {
  readonly geometry: SheetGeometry;
  readonly place: Place;
  readonly axis: Range;
  readonly temperatures: Range;
  readonly pressures: Range;
  readonly spec: SpecLayout | null;
  /** Least upper limit of a peak, degC; null if none. */
  readonly peakLimit: number | null;
  readonly lowPeakLimit: number | null;
  /** Where the reflow usually begins, s; null when not known. */
  readonly reflowFrom_s: number | null;
  readonly hasVacuum: boolean;
  /** No run is known yet from which phases could be drawn. */
  readonly learning: boolean;
  readonly thermal: readonly RibbonPiece[];
  readonly vacuum: readonly RibbonPiece[];
  readonly gate: Gate | null;
  readonly lens: Lens | null;
  readonly hatches: readonly HatchPiece[];
  readonly now: { readonly text: string; readonly at_s: number; readonly kind: "now" | "ended" | "waiting" | "torn" };
  /** Time labels go so far, s. */
  readonly labelledUntil_s: number;
  readonly texts: Texts;
}

const characterPx = 7.7;
const fits = (text: string, width: number, strong = false): boolean =>
  text.length * (characterPx + (strong ? 1 : 0)) + 10 <= width;

function axes(input: FrameInput): SVGTemplateResult {
  const { geometry: g, axis, temperatures, pressures, place } = input;
  const right = g.plot.left + g.plot.width;
  const length = axis.max - axis.min;
  const step = timeStep(length, Math.max(3, Math.floor(g.plot.width / (place === "phone" ? 52 : 130))));
  const times = Array.from({ length: Math.floor(input.labelledUntil_s / step + 1e-9) + 1 }, (_, i) => i * step);
  const degrees = [];
  const degreeStep = g.plot.height < 160 ? 100 : 50;
  for (let v = Math.ceil(temperatures.min / degreeStep) * degreeStep; v <= temperatures.max; v += degreeStep)
    if (v > 0) degrees.push(v);
  const decades = [];
  const pressure = g.pressure;
  if (pressure !== null && input.hasVacuum)
    for (let p = 10 ** Math.ceil(Math.log10(pressures.min)); p <= pressures.max; p *= 10)
      decades.push(Number(p.toPrecision(1)));
  return svg`<g class="axes">
    ${times.map((t) => {
      const x = xOf(g.plot, axis, t);
      return svg`<line class="hair" x1=${x} x2=${x} y1=${g.plot.top} y2=${g.plot.top + g.plot.height}></line>
        ${pressure === null || !input.hasVacuum ? nothing : svg`<line class="hair" x1=${x} x2=${x} y1=${pressure.top} y2=${pressure.top + pressure.height}></line>`}
        <text class="second" x=${x} y=${g.floor + 20} text-anchor=${x > right - 12 ? "end" : "middle"}>${write.runTime(t)}</text>`;
    })}
    ${degrees.map((v) => {
      const y = yOf(g.plot, temperatures, v);
      return svg`<line class="hair" x1=${g.plot.left} x2=${right} y1=${y} y2=${y}></line>
        <text class="second" x=${g.plot.left - 8} y=${y + 5} text-anchor="end">${v}</text>`;
    })}
    <line class="rule" x1=${g.plot.left} x2=${right} y1=${g.floor} y2=${g.floor}></line>
    ${place === "phone" ? nothing : svg`<text class="second" x=${g.plot.left - 8} y=${g.plot.top - 10} text-anchor="end">°C</text>`}
    ${
      pressure === null || !input.hasVacuum
        ? nothing
        : svg`<text class="second" x=${g.plot.left - 8} y=${pressure.top - 12} text-anchor="end">mbar</text>
      ${decades.map((p) => {
        const y = yOfPressure(pressure, pressures, p);
        return svg`<line class="hair" x1=${g.plot.left} x2=${right} y1=${y} y2=${y}></line>
          <text class="second" x=${g.plot.left - 8} y=${y + 5} text-anchor="end">${write.limit(p)}</text>`;
      })}`
    }
  </g>`;
}

function limits(input: FrameInput): SVGTemplateResult | typeof nothing {
  const { geometry: g, spec, temperatures, axis, texts, place } = input;
  if (spec === null) return nothing;
  const right = g.plot.left + g.plot.width;
  const indent = g.plot.left + (place === "phone" ? 16 : 60);
  const soakEnds =
    input.reflowFrom_s === null ? g.plot.left + g.plot.width * 0.55 : xOf(g.plot, axis, input.reflowFrom_s);
  const horizontal = (
    kind: string,
    value: number,
    from: number,
    to: number,
    label: string | null,
    labelX: number,
    anchor = "start",
  ) => {
    const y = yOf(g.plot, temperatures, value);
    return svg`<line class=${kind} x1=${from} x2=${to} y1=${y} y2=${y}></line>
      ${label === null ? nothing : svg`<text class=${kind === "liquidus" ? "first halo" : "second halo"} x=${labelX} y=${y - 5} text-anchor=${anchor}>${label}</text>`}`;
  };
  const reflowX = Math.min(soakEnds, right - 180);
  // Its label needs the height of a line under the upper limit.
  const lowPeakFits =
    input.lowPeakLimit !== null &&
    (input.peakLimit === null ||
      yOf(g.plot, temperatures, input.lowPeakLimit) - yOf(g.plot, temperatures, input.peakLimit) > 22);
  return svg`<g class="limits">
    ${spec.soakFrom === null || place === "phone" ? nothing : horizontal("soak", spec.soakFrom, indent, soakEnds, texts.chart.soakFrom(write.limit(spec.soakFrom)), indent)}
    ${spec.soakTo === null || place === "phone" ? nothing : horizontal("soak", spec.soakTo, indent, soakEnds, texts.chart.soakTo(write.limit(spec.soakTo)), indent)}
    ${horizontal("liquidus", spec.liquidus, g.plot.left, right, texts.chart.liquidus(write.limit(spec.liquidus)), indent)}
    ${input.peakLimit === null ? nothing : horizontal("limit", input.peakLimit, reflowX, right, place === "phone" ? null : texts.chart.atMost(write.limit(input.peakLimit)), right, "end")}
    ${
      place === "phone" || input.lowPeakLimit === null || !lowPeakFits
        ? nothing
        : horizontal(
            "limit",
            input.lowPeakLimit,
            reflowX,
            right,
            texts.chart.atLeast(write.limit(input.lowPeakLimit)),
            right,
            "end",
          )
    }
    ${
      g.pressure === null || spec.vacuumTarget === null || !input.hasVacuum
        ? nothing
        : svg`<line class="soak" x1=${g.plot.left} x2=${right} y1=${yOfPressure(g.pressure, input.pressures, spec.vacuumTarget)} y2=${yOfPressure(g.pressure, input.pressures, spec.vacuumTarget)}></line>
          <text class="second halo" x=${indent} y=${yOfPressure(g.pressure, input.pressures, spec.vacuumTarget) - 5}>${texts.chart.target(write.limit(spec.vacuumTarget))}</text>`
    }
  </g>`;
}

function ribbon(input: FrameInput, pieces: readonly RibbonPiece[], top: number, name: string): SVGTemplateResult {
  const { geometry: g, axis, texts } = input;
  const height = g.ribbons?.height ?? 24;
  const clampX = (t: number): number =>
    Math.min(Math.max(xOf(g.plot, axis, t), g.plot.left), g.plot.left + g.plot.width);
  return svg`<g class="ribbon" data-testid=${`ribbon-${name}`}>
    <text class="second" x=${g.plot.left - 8} y=${top + height / 2 + 5} text-anchor="end">${name}</text>
    ${pieces.map((piece) => {
      const from = clampX(piece.from_s);
      const to = clampX(piece.to_s);
      const width = Math.max(0, to - from);
      const label = texts.phases[piece.phase] ?? piece.phase;
      const usualTo = piece.usual_s === null ? null : clampX(piece.from_s + piece.usual_s);
      return svg`<g data-phase=${piece.phase} data-kind=${piece.kind}>
        <rect class=${piece.kind === "future" ? "future" : "past"} x=${from + 0.5} y=${top + 0.5} width=${Math.max(0, width - 1)} height=${height - 1}></rect>
        ${piece.kind === "present" ? svg`<rect class="present" x=${from} y=${top} width=${width} height="3"></rect>` : nothing}
        ${fits(label, width, piece.kind === "present") ? svg`<text class=${piece.kind === "present" ? "strong" : piece.kind === "past" ? "first" : "second"} x=${from + 5} y=${top + height / 2 + 5}>${label}</text>` : nothing}
        ${usualTo === null || usualTo - from < 3 ? nothing : svg`<path class="bracket" d=${`M${from + 1} ${top + height + 2}v5H${usualTo - 1}v-5`}></path>`}
      </g>`;
    })}
  </g>`;
}

/** The gate on a liquidus line that stands at height y. */
function gateAt(
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
    ${words !== null && fits(words.mustFall, to - from - 60) ? svg`<text class="second halo" x=${(from + to) / 2} y=${y + 24} text-anchor="middle">${words.mustFall}</text>` : nothing}
  </g>`;
}

function lensFrame(input: FrameInput, lens: Lens): SVGTemplateResult {
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
  return svg`<g class="lens" data-testid="lens">
    <rect class="lens-source" x=${box.left} y=${sourceTop} width=${box.width} height=${sourceBottom - sourceTop}></rect>
    <text class="second halo" x=${box.left} y=${box.top - 8}>${texts.chart.lens(lens.times)}</text>
    <rect class="lens-frame" x=${box.left - 0.5} y=${box.top - 0.5} width=${box.width + 1} height=${box.height + 1}></rect>
    ${marks.map(
      ({
        value,
        kind,
      }) => svg`<line class=${kind} x1=${box.left} x2=${right} y1=${yOf(box, lens.y, value)} y2=${yOf(box, lens.y, value)}></line>
      <text class="second halo" x=${box.left - 6} y=${yOf(box, lens.y, value) + 5} text-anchor="end">${write.limit(value)}</text>`,
    )}
    ${input.gate === null ? nothing : gateAt(input.gate, yOf(box, lens.y, input.gate.level), (t) => xOf(g.plot, axis, t), box.left, right, texts.chart)}
  </g>`;
}

/** A torn edge: what is beyond it the page does not know. */
function torn(input: FrameInput, at_s: number): SVGTemplateResult {
  const { geometry: g, axis } = input;
  const x = xOf(g.plot, axis, at_s);
  let path = `M${x} 0`;
  for (let y = 0, side = 1; y < g.height; y += 12, side = -side)
    path += `L${x + (side > 0 ? 6 : -5)} ${Math.min(y + 12, g.height)}`;
  return svg`<g data-testid="torn">
    <path class="beyond" d=${`${path}L${g.width} ${g.height}L${g.width} 0Z`}></path>
    <path class="tear" d=${path}></path>
  </g>`;
}

/** Everything on the sheet that is not a curve: axes, lines, ribbons, gate, lens, hatches, now. */
export function frameLayer(input: FrameInput): SVGTemplateResult {
  const { geometry: g, axis, temperatures, texts } = input;
  const nowX = Math.round(xOf(g.plot, axis, input.now.at_s));
  const boxWidth = Math.round(input.now.text.length * 8.6 + 22);
  const boxLeft = nowX - boxWidth < 0 ? 0 : -boxWidth;
  return svg`
    <defs><pattern id="hatch" width="8" height="8" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><line class="hatch-line" x1="0" y1="0" x2="0" y2="8"></line></pattern></defs>
    ${axes(input)} ${limits(input)}
    ${input.lens === null && input.gate !== null ? gateAt(input.gate, yOf(g.plot, temperatures, input.gate.level), (t) => xOf(g.plot, axis, t), g.plot.left, g.plot.left + g.plot.width, null) : nothing}
    ${g.ribbons === null || !input.learning ? nothing : svg`<text class="second" x=${g.plot.left} y=${g.ribbons.thermal + 17}>${texts.chart.learning}</text>`}
    ${g.ribbons === null || input.learning ? nothing : ribbon(input, input.thermal, g.ribbons.thermal, texts.chart.heat)}
    ${g.ribbons === null || !input.hasVacuum || input.learning ? nothing : ribbon(input, input.vacuum, g.ribbons.vacuum, texts.chart.vacuum)}
    ${input.hatches.map((piece) => {
      const from = xOf(g.plot, axis, piece.from_s);
      const width = Math.max(2, xOf(g.plot, axis, piece.to_s) - from);
      return svg`<g data-testid="hatch"><rect fill="url(#hatch)" x=${from} y=${piece.top} width=${width} height=${piece.bottom - piece.top}></rect>
        ${piece.ring === null ? nothing : svg`<circle class="ring" cx=${from} cy=${piece.ring} r="5"></circle>`}</g>`;
    })}
    ${input.lens === null ? nothing : lensFrame(input, input.lens)}
    ${input.now.kind === "torn" ? torn(input, input.now.at_s) : nothing}
    <g class=${`now ${input.now.kind}`} transform=${`translate(${nowX} 0)`} data-testid="now-line">
      ${input.now.kind === "torn" ? nothing : svg`<line class="now-line" y1="0" y2=${g.floor}></line>`}
      ${
        input.place === "phone"
          ? nothing
          : svg`<rect class="now-box" x=${boxLeft} y="0" width=${boxWidth} height="24"></rect>
        <text class="now-text" x=${boxLeft + boxWidth / 2} y="17" text-anchor="middle" data-testid="now">${input.now.text}</text>`
      }
    </g>`;
}
