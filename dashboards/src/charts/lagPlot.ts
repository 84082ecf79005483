import { html, nothing, svg, type TemplateResult } from "lit-html";
import type { LagHour } from "../feed/feeds";

const hour_ms = 3600 * 1000;
/** A tenth of a second is where the axis begins: nothing shorter can be told from none. */
const least_s = 0.1;
const pad = 4;

export interface LagScale {
  readonly x: (ms: number) => number;
  readonly y: (lag_s: number) => number;
}

/** Time of the last hour to the right; lag upwards, by its logarithm: from tenths of a second to days. */
export function lagScale(width: number, height: number, nowMs: number, most_s: number): LagScale {
  const top = Math.log10(Math.max(most_s, 1) * 2);
  const bottom = Math.log10(least_s);
  return {
    x: (ms) => ((ms - nowMs + hour_ms) / hour_ms) * width,
    y: (lag_s) =>
      height - pad - ((Math.log10(Math.max(lag_s, least_s)) - bottom) / (top - bottom)) * (height - 2 * pad),
  };
}

/** The line of the worst of each step; it breaks where nothing was kept. */
export function lagPath(hour: LagHour, nowMs: number, scale: LagScale): string {
  const width_ms = hour.stepSeconds * 1000;
  let path = "";
  let lastEnd = Number.NaN;
  for (const step of hour.steps) {
    const start = Date.parse(step.start);
    const end = Math.min(start + width_ms, nowMs);
    if (end < nowMs - hour_ms || end <= start) continue;
    const y = scale.y(step.lagSeconds).toFixed(1);
    // Clocks of browser and service may differ by a little: half a step is no gap.
    path += `${start - lastEnd < width_ms / 2 ? "L" : "M"}${scale.x(Math.max(start, nowMs - hour_ms)).toFixed(1)} ${y}H${scale.x(end).toFixed(1)}`;
    lastEnd = end;
  }
  return path;
}

/** How late a feed was in the last hour, with the lag from which on it is an alarm. */
export function lagPlot(
  hour: LagHour,
  alarmAfter_s: number,
  nowMs: number,
  width: number,
  height: number,
): TemplateResult {
  const worst = Math.max(alarmAfter_s, ...hour.steps.map((step) => step.lagSeconds));
  const scale = lagScale(width, height, nowMs, worst);
  const limit = scale.y(alarmAfter_s);
  const quarters = [0.25, 0.5, 0.75].map((part) => part * width);
  return html`<svg class="lag-plot" width=${width} height=${height} viewBox=${`0 0 ${width} ${height}`} aria-hidden="true" data-testid="lag-plot">
    <rect class="band" x="0" y=${limit} width=${width} height=${height - limit}></rect>
    ${quarters.map((x) => svg`<line class="hair" x1=${x} x2=${x} y1="0" y2=${height}></line>`)}
    <line class="bar-limit" x1="0" x2=${width} y1=${limit} y2=${limit}></line>
    ${hour.steps.length === 0 ? nothing : svg`<path class="lag-curve" d=${lagPath(hour, nowMs, scale)}></path>`}
  </svg>`;
}
