import { nothing, type SVGTemplateResult, svg } from "lit-html";
import type { Corridor } from "../state/corridor";
import { spreadLabels } from "../state/labels";
import { type BandPoint, pointAt, type Stretch } from "../state/overlay";
import type { StoredRun } from "../state/storedRun";
import { timeStep } from "../state/timeAxis";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import { decadeTicks, degreeTicks } from "./axesLayer";
import { fits } from "./frameTypes";
import { type Box, type Place, type Range, xOf, yOf, yOfPressure } from "./geometry";
import { overlayCursor } from "./overlayCursor";
import type { OverlayGeometry } from "./overlayGeometry";

/** One of the two runs as far as it is drawn. Times are of the run itself. */
export interface Side {
  readonly stored: StoredRun;
  readonly temperature: readonly Stretch[];
  readonly pressure: readonly Stretch[];
  /** Added to its times to stand on the common axis, s. */
  readonly offset_s: number;
}

export interface OverlaySheetInput {
  readonly geometry: OverlayGeometry;
  readonly place: Place;
  readonly axis: Range;
  readonly temperatures: Range;
  readonly pressures: Range;
  readonly differences: Range;
  readonly a: Side;
  readonly b: Side;
  /** Over the times of run a. */
  readonly difference: readonly Stretch[];
  /** Over the times of run a; null: there are not enough released runs. */
  readonly corridor: Corridor | null;
  readonly liquidus: number | null;
  /** On the common axis, s; null: no cursor. */
  readonly cursor_s: number | null;
  /** Where a measurement begins, on the common axis, s; null: none is taken. */
  readonly mark_s: number | null;
  /** What the first run's own time is at zero of the axis, s. */
  readonly zero_s: number;
  readonly texts: Texts;
}

type Height = (value: number) => number;

function lines(band: readonly Stretch[], x: Height, y: Height, side: "low" | "high"): string {
  return band
    .map((stretch) => `M${stretch.map((point) => `${x(point.t).toFixed(1)} ${y(point[side]).toFixed(1)}`).join("L")}`)
    .join("");
}

function area(band: readonly Stretch[], x: Height, y: Height): string {
  const at = (point: BandPoint, side: "low" | "high"): string =>
    `${x(point.t).toFixed(1)} ${y(point[side]).toFixed(1)}`;
  return band
    .map(
      (stretch) =>
        `M${stretch.map((point) => at(point, "high")).join("L")}L${[...stretch]
          .reverse()
          .map((point) => at(point, "low"))
          .join("L")}Z`,
    )
    .join("");
}

function ribbon(side: Side, input: OverlaySheetInput, top: number, kind: string): SVGTemplateResult {
  const { geometry: g, axis, texts, place } = input;
  const { detail, view } = side.stored;
  const x = (t: number): number =>
    Math.min(Math.max(xOf(g.plot, axis, t + side.offset_s), g.plot.left), g.plot.left + g.plot.width);
  return svg`<g class=${`ribbon ${kind}`}>
    <text class=${kind === "a" ? "strong" : "second"} x=${g.plot.left - 8} y=${top + 17} text-anchor="end">${detail.run.number}</text>
    ${detail.phases
      .filter((phase) => phase.track === "thermal")
      .map((phase) => {
        const from = x(phase.start_s);
        const width = Math.max(0, x(phase.end_s ?? view.elapsed_s) - from);
        const name = texts.phases[phase.phase] ?? phase.phase;
        return svg`<rect class=${kind === "a" ? "past" : "outlined"} x=${from + 0.5} y=${top + 0.5} width=${Math.max(0, width - 1)} height="23"></rect>
          ${fits(name, width, place) ? svg`<text class=${kind === "a" ? "first" : "second"} x=${from + 5} y=${top + 17}>${name}</text>` : nothing}`;
      })}
  </g>`;
}

function grid(input: OverlaySheetInput): SVGTemplateResult {
  const { geometry: g, axis, place } = input;
  const right = g.plot.left + g.plot.width;
  const boxes = [g.plot, g.pressure as Box, g.difference];
  const step = timeStep(axis.max - axis.min, Math.max(3, Math.floor(g.plot.width / (place === "phone" ? 60 : 130))));
  const times: number[] = [];
  for (let t = Math.max(0, Math.ceil((axis.min + input.zero_s) / step) * step); t <= axis.max + input.zero_s; t += step)
    times.push(t);
  const row = (y: number, text: string): SVGTemplateResult =>
    svg`<line class="hair" x1=${g.plot.left} x2=${right} y1=${y} y2=${y}></line><text class="second" x=${g.plot.left - 8} y=${y + 5} text-anchor="end">${text}</text>`;
  return svg`<g class="axes">
    ${times.map((t) => {
      const x = xOf(g.plot, axis, t - input.zero_s);
      return svg`${boxes.map((box) => svg`<line class="hair" x1=${x} x2=${x} y1=${box.top} y2=${box.top + box.height}></line>`)}
        <text class="second" x=${x} y=${g.floor + 20} text-anchor="middle">${write.runTime(t)}</text>`;
    })}
    ${degreeTicks(input.temperatures, g.plot.height).map(({ at, shown }) => row(yOf(g.plot, input.temperatures, at), write.plain(shown)))}
    ${decadeTicks(input.pressures, (g.pressure as Box).height).map(({ at, shown }) => row(yOfPressure(g.pressure as Box, input.pressures, at), write.plain(shown)))}
    ${differenceTicks(input.differences, g.difference.height).map((k) => row(yOf(g.difference, input.differences, k), `${k > 0 ? "+" : ""}${write.figure(k, "K", true).replace(/[.,]0$/, "")}`))}
    <text class="second" x=${g.plot.left - 8} y=${g.plot.top - 10} text-anchor="end">${write.unit("degC")}</text>
    <text class="second" x=${g.plot.left - 8} y=${(g.pressure as Box).top - 12} text-anchor="end">${write.unit("mbar")}</text>
    <text class="second" x=${g.plot.left - 8} y=${g.difference.top - 12} text-anchor="end">${write.unit("K")}</text>
    <text class="second" x=${g.plot.left} y=${g.difference.top - 12}>${input.texts.overlay.difference(input.a.stored.detail.run.number, input.b.stored.detail.run.number)}</text>
    <line class="rule" x1=${g.plot.left} x2=${right} y1=${g.floor} y2=${g.floor}></line>
  </g>`;
}

/** Round kelvins, at most four rows. */
function differenceTicks(range: Range, height: number): number[] {
  const most = Math.max(2, Math.floor(height / 24));
  const step = [1, 2, 5, 10, 20, 50, 100, 200].find((k) => (range.max - range.min) / k <= most) ?? 500;
  const ticks = [];
  for (let k = Math.ceil(range.min / step) * step; k <= range.max; k += step) ticks.push(k);
  return ticks;
}

/** Which run a curve is stands at its end, in the ink and the dash that it has. */
function names(input: OverlaySheetInput): SVGTemplateResult | typeof nothing {
  const { geometry: g, axis, a, b, texts, place } = input;
  if (place === "phone") return nothing;
  const ends = [a, b].flatMap((side, i) => {
    const last = side.temperature.at(-1)?.at(-1);
    if (last === undefined) return [];
    const t = Math.min(last.t + side.offset_s, axis.max);
    const point = pointAt(side.temperature, t - side.offset_s) ?? last;
    return [{ i, x: xOf(g.plot, axis, t), y: yOf(g.plot, input.temperatures, point.high), side }];
  });
  const heights = spreadLabels(
    ends.map((end) => end.y),
    24,
    g.plot.top + 10,
    g.plot.top + g.plot.height - 10,
  );
  const left = g.plot.left + g.plot.width + 14;
  return svg`${ends.map(
    (end, n) => svg`<path class="leader" d=${`M${end.x} ${end.y}L${left - 2} ${heights[n]}`}></path>
      <line class=${end.i === 0 ? "overlay-line a" : "overlay-line b"} x1=${left} x2=${left + 22} y1=${heights[n]} y2=${heights[n]}></line>
      <text class=${end.i === 0 ? "strong" : "first"} x=${left + 28} y=${heights[n] + 5}>${texts.head.run(end.side.stored.detail.run.number)}</text>`,
  )}`;
}

/** Two runs over each other. */
export function overlaySheet(input: OverlaySheetInput): SVGTemplateResult {
  const { geometry: g, axis, a, b } = input;
  const right = g.plot.left + g.plot.width;
  const x =
    (side: Side): Height =>
    (t) =>
      xOf(g.plot, axis, t + side.offset_s);
  const yt: Height = (v) => yOf(g.plot, input.temperatures, v);
  const yp: Height = (v) => yOfPressure(g.pressure as Box, input.pressures, Math.max(v, input.pressures.min));
  const yd: Height = (v) => yOf(g.difference, input.differences, v);
  const zero = yd(0);
  return svg`
    <clipPath id="overlay-strips"><rect x=${g.plot.left} y="0" width=${g.plot.width} height=${g.height}></rect></clipPath>
    ${grid(input)}
    <g clip-path="url(#overlay-strips)">
      ${input.liquidus === null ? nothing : svg`<line class="liquidus" x1=${g.plot.left} x2=${right} y1=${yt(input.liquidus)} y2=${yt(input.liquidus)}></line>`}
      ${input.corridor === null ? nothing : svg`<path class="corridor" data-testid="corridor" d=${area(input.corridor.stretches, x(a), yt)}></path>`}
      <path class="overlay-area b" d=${area(b.temperature, x(b), yt)}></path>
      <path class="overlay-area a" d=${area(a.temperature, x(a), yt)}></path>
      ${(["low", "high"] as const).map(
        (
          edge,
        ) => svg`<path class="overlay-line a" data-testid=${`band-a-${edge}`} d=${lines(a.temperature, x(a), yt, edge)}></path>
          <path class="overlay-line b" data-testid=${`band-b-${edge}`} d=${lines(b.temperature, x(b), yt, edge)}></path>`,
      )}
      <path class="overlay-line a" d=${lines(a.pressure, x(a), yp, "low")}></path>
      <path class="overlay-line b" d=${lines(b.pressure, x(b), yp, "low")}></path>
      <line class="rule" x1=${g.plot.left} x2=${right} y1=${zero} y2=${zero}></line>
      <path class="overlay-line a" data-testid="difference" d=${lines(input.difference, x(a), yd, "high")}></path>
    </g>
    ${input.liquidus === null ? nothing : svg`<text class="first halo" x=${g.plot.left + 40} y=${yt(input.liquidus) - 5}>${input.texts.chart.liquidus(write.limit(input.liquidus, "degC"))}</text>`}
    ${
      input.corridor === null
        ? nothing
        : svg`<text class="second halo" x=${g.plot.left + g.plot.width - 4} y=${g.plot.top + g.plot.height - 8} text-anchor="end">${
            // A run is hot on the left of its end: there is room below it.
            input.place === "phone"
              ? input.texts.overlay.corridorShort(input.corridor.runs)
              : input.texts.overlay.corridor(input.corridor.runs)
          }</text>`
    }
    ${ribbon(a, input, g.ribbons?.thermal ?? 0, "a")}${ribbon(b, input, g.ribbons?.vacuum ?? 0, "b")}
    ${names(input)}${overlayCursor(input)}`;
}
