import { nothing, type SVGTemplateResult, svg } from "lit-html";
import { timeStep } from "../state/timeAxis";
import * as write from "../texts/format";
import { fromShown, toShown } from "../texts/units";
import type { FrameInput } from "./frameTypes";
import { type Range, xOf, yOf, yOfPressure } from "./geometry";

/** Round numbers of the unit that is shown, at least two lines of text apart. */
export function degreeTicks(range: Range, height: number): { readonly at: number; readonly shown: number }[] {
  const units = write.shownUnits();
  const from = toShown(range.min, "degC", units);
  const to = toShown(range.max, "degC", units);
  const step =
    [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100].find((s) => (s * height) / (to - from) >= Math.max(40, height / 7)) ??
    200;
  const ticks = [];
  for (let i = Math.ceil(from / step); i * step <= to; i++) {
    const shown = Number((i * step).toFixed(1));
    ticks.push({ shown, at: fromShown(shown, "degC", units) });
  }
  return ticks;
}

/** Whole decades of the unit that is shown, as many as a strip of that height has room for. */
export function decadeTicks(range: Range, height: number): { readonly at: number; readonly shown: number }[] {
  const units = write.shownUnits();
  const ticks = [];
  const to = toShown(range.max, "mbar", units);
  for (let p = 10 ** Math.ceil(Math.log10(toShown(range.min, "mbar", units))); p <= to; p *= 10) {
    const shown = Number(p.toPrecision(1));
    ticks.push({ shown, at: fromShown(shown, "mbar", units) });
  }
  // Where the strip is low, every second, counted from the atmosphere down.
  const apart = height / Math.max(1, Math.log10(range.max / range.min));
  const every = Math.ceil(17 / apart);
  return ticks.filter((_, i) => (ticks.length - 1 - i) % every === 0);
}

/** Grid lines and their numbers. */
export function axesLayer(input: FrameInput): SVGTemplateResult {
  const { geometry: g, axis, temperatures, pressures, place } = input;
  const right = g.plot.left + g.plot.width;
  const length = axis.max - axis.min;
  const step = timeStep(length, Math.max(3, Math.floor(g.plot.width / (place === "phone" ? 52 : 130))));
  const times: number[] = [];
  for (
    let t = Math.ceil(axis.min / step - 1e-9) * step;
    t <= Math.min(axis.max, input.labelledUntil_s) + 1e-6;
    t += step
  )
    times.push(t);
  const degrees = degreeTicks(temperatures, g.plot.height);
  const pressure = g.pressure;
  const decades = pressure !== null && input.hasVacuum ? decadeTicks(pressures, pressure.height) : [];
  return svg`<g class="axes">
    ${times.map((t) => {
      const x = xOf(g.plot, axis, t);
      return svg`<line class="hair" x1=${x} x2=${x} y1=${g.plot.top} y2=${g.plot.top + g.plot.height}></line>
        ${pressure === null || !input.hasVacuum ? nothing : svg`<line class="hair" x1=${x} x2=${x} y1=${pressure.top} y2=${pressure.top + pressure.height}></line>`}
        <text class="second" x=${x} y=${g.floor + (place === "wall" ? 32 : 20)} text-anchor=${x > right - 12 ? "end" : "middle"}>${write.runTime(t)}</text>`;
    })}
    ${degrees.map(({ at, shown }, i) => {
      const y = yOf(g.plot, temperatures, at);
      return svg`<line class="hair" x1=${g.plot.left} x2=${right} y1=${y} y2=${y}></line>
        <text class="second" x=${g.plot.left - 8} y=${y + 5} text-anchor="end">${place === "phone" && i === degrees.length - 1 && g.ribbons !== null ? write.withUnit(write.plain(shown), "degC") : write.plain(shown)}</text>`;
    })}
    <line class="rule" x1=${g.plot.left} x2=${right} y1=${g.floor} y2=${g.floor}></line>
    ${place === "phone" ? nothing : svg`<text class="second" x=${g.plot.left - 8} y=${g.plot.top - 10} text-anchor="end">${write.unit("degC")}</text>`}
    ${
      pressure === null || !input.hasVacuum
        ? nothing
        : svg`<text class="second" x=${g.plot.left - 8} y=${pressure.top - (place === "wall" ? 26 : 12)} text-anchor="end">${write.unit("mbar")}</text>
      ${decades.map(({ at, shown }) => {
        const y = yOfPressure(pressure, pressures, at);
        return svg`<line class="hair" x1=${g.plot.left} x2=${right} y1=${y} y2=${y}></line>
          <text class="second" x=${g.plot.left - 8} y=${y + 5} text-anchor="end">${write.plain(shown)}</text>`;
      })}`
    }
  </g>`;
}

/** Liquidus, soak, peak and pressure limits. */
export function limitsLayer(input: FrameInput): SVGTemplateResult | typeof nothing {
  const { geometry: g, spec, temperatures, axis, texts, place } = input;
  if (spec === null) return nothing;
  const right = g.plot.left + g.plot.width;
  const indent = g.plot.left + (place !== "wall" && g.plot.width < 1000 ? 16 : 60);
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
    below = -5,
  ) => {
    if (value < temperatures.min || value > temperatures.max) return nothing;
    const y = yOf(g.plot, temperatures, value);
    return svg`<line class=${kind} x1=${from} x2=${to} y1=${y} y2=${y}></line>
      ${label === null ? nothing : svg`<text class=${kind === "liquidus" ? "first halo" : "second halo"} x=${labelX} y=${y + below} text-anchor=${anchor}>${label}</text>`}`;
  };
  const reflowX = Math.min(soakEnds, right - 180);
  // Where now passes through the labels of the lines they stand at the other end, which is still empty.
  const now = xOf(g.plot, axis, input.now.at_s);
  const aside = input.now.kind !== "ended" && now > indent - 20 && now < indent + (place === "wall" ? 260 : 150);
  const nameX = aside ? right - 8 : indent;
  const nameAnchor = aside ? "end" : "start";
  // Where a peak limit passes through the height of its label, liquidus is named below its line.
  const crossed =
    aside &&
    input.peakLimit !== null &&
    yOf(g.plot, temperatures, spec.liquidus) - yOf(g.plot, temperatures, input.peakLimit) <
      (place === "wall" ? 40 : 22);
  // In a low strip neighbouring levels have no height for a label each: liquidus keeps its own, then the lower one.
  const line = place === "wall" ? 34 : place === "touch" ? 20 : 17;
  const apart = (a: number, b: number): boolean =>
    Math.abs(yOf(g.plot, temperatures, a) - yOf(g.plot, temperatures, b)) >= line;
  const soakFromFits = spec.soakFrom !== null && apart(spec.soakFrom, spec.liquidus);
  const soakToFits =
    spec.soakTo !== null &&
    apart(spec.soakTo, spec.liquidus) &&
    (spec.soakFrom === null || !soakFromFits || apart(spec.soakTo, spec.soakFrom));
  // Its label needs the height of a line under the upper limit.
  const lowPeakFits =
    input.lowPeakLimit !== null &&
    (input.peakLimit === null ||
      yOf(g.plot, temperatures, input.lowPeakLimit) - yOf(g.plot, temperatures, input.peakLimit) >
        (place === "wall" ? 44 : 22));
  // Beside the curves it would stand on the line of liquidus where that is near.
  const besideFits =
    input.lowPeakLimit !== null &&
    Math.abs(yOf(g.plot, temperatures, spec.liquidus) - yOf(g.plot, temperatures, input.lowPeakLimit)) >= 12;
  return svg`<g class="limits">
    ${spec.soakFrom === null || place === "phone" || !input.boards ? nothing : horizontal("soak", spec.soakFrom, indent, soakEnds, soakFromFits ? texts.chart.soakFrom(write.limit(spec.soakFrom, "degC")) : null, indent)}
    ${spec.soakTo === null || place === "phone" || !input.boards ? nothing : horizontal("soak", spec.soakTo, indent, soakEnds, soakToFits ? texts.chart.soakTo(write.limit(spec.soakTo, "degC")) : null, indent)}
    ${horizontal("liquidus", spec.liquidus, g.plot.left, right, texts.chart.liquidus(write.limit(spec.liquidus, "degC")), nameX, nameAnchor, crossed ? (place === "wall" ? 30 : 16) : -5)}
    ${input.peakLimit === null ? nothing : horizontal("limit", input.peakLimit, reflowX, right, place === "phone" ? null : texts.chart.atMost(write.limit(input.peakLimit, "degC")), input.rightTaken ? reflowX - 8 : right, "end", input.rightTaken ? 5 : -5)}
    ${
      place === "phone" || input.lowPeakLimit === null || !lowPeakFits
        ? nothing
        : horizontal(
            "limit",
            input.lowPeakLimit,
            reflowX,
            right,
            input.rightTaken && !besideFits ? null : texts.chart.atLeast(write.limit(input.lowPeakLimit, "degC")),
            input.rightTaken ? reflowX - 8 : right,
            "end",
            input.rightTaken ? 5 : -5,
          )
    }
    ${
      g.pressure === null || spec.vacuumTarget === null || !input.hasVacuum
        ? nothing
        : svg`<line class="soak" x1=${g.plot.left} x2=${right} y1=${yOfPressure(g.pressure, input.pressures, spec.vacuumTarget)} y2=${yOfPressure(g.pressure, input.pressures, spec.vacuumTarget)}></line>
          <text class="second halo" x=${nameX} text-anchor=${nameAnchor} y=${yOfPressure(g.pressure, input.pressures, spec.vacuumTarget) - 5}>${texts.chart.target(write.withUnit(write.limit(spec.vacuumTarget, "mbar"), "mbar"))}</text>`
    }
  </g>`;
}
