import { html, nothing, svg, type TemplateResult } from "lit-html";
import type { FigureRow } from "../state/figureRows";
import { barScale } from "../state/windowBar";

const height = 22;

/** A window bar without words, for a column of many: the limits stand at the same places on all of them. */
/** @param liquidus where bars of temperatures begin; null where it is not known */
export function miniBar(row: FigureRow, width: number, liquidus: number | null): TemplateResult {
  const scale = barScale(row.lower, row.upper, row.unit === "degC" ? Math.min(liquidus ?? 0, row.upper ?? 0) : 0);
  const x = (part: number): number => Math.min(Math.max(part, 0), 1) * width;
  const at = row.value === null ? null : scale.at(row.value);
  const beyond = at === null ? 0 : at < 0 ? -1 : at > 1 ? 1 : 0;
  const tick = at === null ? null : Math.min(Math.max(x(at), beyond < 0 ? 9 : 2), width - (beyond > 0 ? 9 : 2));
  const hatched = row.standing === "unknown" || row.standing === "undetermined";
  const limit = (part: number): TemplateResult =>
    svg`<line class="bar-limit" x1=${x(part)} x2=${x(part)} y1="2" y2=${height - 2}></line>` as TemplateResult;
  return html`<svg class=${`mini ${row.standing}`} width=${width} height=${height} aria-hidden="true" data-figure=${row.figure} data-standing=${row.standing}>
    <rect class="band" x=${x(scale.bandFrom)} y="5" width=${x(scale.bandTo) - x(scale.bandFrom)} height="12"></rect>
    ${hatched ? svg`<rect fill="url(#bar-hatch)" x=${x(scale.bandFrom)} y="5" width=${x(scale.bandTo) - x(scale.bandFrom)} height="12"></rect>` : nothing}
    ${row.lower === null ? nothing : limit(scale.bandFrom)}${row.upper === null ? nothing : limit(scale.bandTo)}
    ${tick === null ? nothing : svg`<rect class="tick" x=${tick - 2} y="1" width="4" height="20"></rect>`}
    ${beyond === 0 || tick === null ? nothing : svg`<path class="arrow" d=${beyond > 0 ? `M${tick + 4} 7.5l3.5 3.5l-3.5 3.5` : `M${tick - 4} 7.5l-3.5 3.5l3.5 3.5`}></path>`}
  </svg>`;
}
