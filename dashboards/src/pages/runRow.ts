import { html, nothing, svg, type TemplateResult } from "lit-html";
import { miniBar } from "../charts/miniBar";
import { shapePaths } from "../charts/shapePaths";
import type { ListedRun, RunShape } from "../feed/records";
import { type FigureRow, figureRows } from "../state/figureRows";
import type { Naming } from "../state/promptTypes";
import { isProduction, verdictReason } from "../state/runPrompt";
import { finalFigure } from "../state/storedRun";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import { when } from "./when";

export interface RunRowInput {
  readonly run: ListedRun;
  readonly address: string;
  /** Null until it is there. */
  readonly shape: RunShape | null;
  /** Figures that have a column, in order; none where there is no room. */
  readonly columns: readonly string[];
  readonly barWidth: number;
  readonly shapeWidth: number;
  /** Length that the whole width of a drawing stands for, s. */
  readonly longest_s: number;
  readonly liquidus: number | null;
  readonly naming: Naming;
  readonly texts: Texts;
}

const shapeHeight = 54;
export const lengthOf = (run: ListedRun): number | null =>
  run.end === null ? null : (Date.parse(run.end) - Date.parse(run.start)) / 1000;

/** The sign of a verdict: a pass has none, for good is plain. */
const signs: Record<string, TemplateResult> = {
  fail: html`<svg class="mark soon" width="16" height="14" viewBox="0 0 14 12" aria-hidden="true"><path d="M7 0L14 12H0Z"></path></svg>`,
  undetermined: html`<svg class="mark" width="14" height="14" aria-hidden="true"><rect class="unknown" x=".5" y=".5" width="13" height="13" fill="url(#bar-hatch)"></rect></svg>`,
};

function words(input: RunRowInput, rows: readonly FigureRow[]): TemplateResult {
  const { run, texts } = input;
  if (run.end === null) return html`<b>${texts.runs.running}</b> <span>${texts.runs.runningWords}</span>`;
  const verdict = run.verdict ?? (isProduction(run) ? "production" : "none");
  const reason =
    run.verdict === "fail" || run.verdict === "undetermined"
      ? verdictReason(rows, run, run.verdict, input.naming, texts)
      : null;
  const decision = run.decision === null ? null : texts.run.decisions[run.decision.kind];
  return html`${signs[verdict] ?? nothing}<b>${texts.runs.words[verdict]}${reason === null ? "" : ":"}</b> ${reason === null ? nothing : html`<span>${reason}</span>`}${decision === null ? nothing : html` <span class="decided">${decision}</span>`}`;
}

function drawing(input: RunRowInput): TemplateResult {
  const { run, shape, texts, shapeWidth } = input;
  const length = lengthOf(run);
  const width = length === null ? shapeWidth : Math.min(1, length / input.longest_s) * shapeWidth;
  const paths = shape === null ? null : shapePaths(shape, width, shapeHeight - 10);
  const y = (degC: number): number => (1 - (degC - 15) / 235) * (shapeHeight - 10);
  const label =
    shape === null ? "" : texts.runs.shape(shape.of === "product" ? texts.runs.ofProduct : texts.runs.ofVapour);
  return html`<svg class="shape-small" width=${shapeWidth} height=${shapeHeight} role=${shape === null ? nothing : "img"} aria-label=${shape === null ? nothing : label} aria-hidden=${shape === null ? "true" : nothing} data-testid="shape">
    ${input.liquidus === null ? nothing : svg`<line class="hair" x1="0" x2=${width} y1=${y(input.liquidus)} y2=${y(input.liquidus)}></line>`}
    ${
      paths === null
        ? nothing
        : svg`<path class="shape-pressure" d=${paths.pressure}></path><path class="shape-band" d=${paths.band}></path><path class="shape-top" d=${paths.top}></path>`
    }
    ${
      length === null
        ? nothing
        : run.phases.map((phase) => {
            const from = (phase.start_s / length) * width;
            const to = ((phase.end_s ?? length) / length) * width;
            const top = phase.track === "thermal" ? shapeHeight - 9 : shapeHeight - 4;
            return svg`<rect class=${phase.track === "thermal" ? "past" : "past vacuum"} x=${from + 0.5} y=${top} width=${Math.max(0.5, to - from - 1)} height="4"></rect>`;
          })
    }
  </svg>`;
}

/** One run in the list: when and what, its shape, its bars, and its verdict with the reason. */
export function runRow(input: RunRowInput): TemplateResult {
  const { run, texts } = input;
  const rows = figureRows(run.tightest.map(finalFigure));
  const startMs = Date.parse(run.start);
  const length = lengthOf(run);
  const spec = run.spec === null ? texts.run.noSpec : texts.run.spec(run.spec.name, run.spec.version);
  return html`<li><a class="run-row" href=${input.address} data-run=${run.number} data-testid=${`run-${run.number}`} data-verdict=${run.verdict ?? ""}>
    <span class="run-when"><b>${texts.runs.number(run.number)} <small>${texts.head.carrier(run.carrier)}</small></b><span>${when(startMs, `${write.day(startMs)}, ${write.clock(startMs)}`)}</span>
      <span>${run.product === null ? spec : `${run.product} · ${spec}`}</span></span>
    <span class="run-drawing">${drawing(input)}<span class="run-length">${length === null ? "" : write.runTime(length)}</span></span>
    ${
      input.columns.length === 0
        ? nothing
        : html`<span class="run-bars">${input.columns.map((figure) => {
            const row = rows.find((candidate) => candidate.figure === figure);
            return html`<span>${row === undefined ? nothing : miniBar(row, input.barWidth, input.liquidus)}</span>`;
          })}</span>`
    }
    <span class="run-words">${words(input, rows)}</span>
  </a></li>`;
}
