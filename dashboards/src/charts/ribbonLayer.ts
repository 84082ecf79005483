import { nothing, type SVGTemplateResult, svg } from "lit-html";
import { type FrameInput, fits } from "./frameTypes";
import { xOf } from "./geometry";
import type { RibbonPiece } from "./ribbon";

/** One track of the phase ribbon. */
export function ribbon(
  input: FrameInput,
  pieces: readonly RibbonPiece[],
  top: number,
  name: string,
): SVGTemplateResult {
  const { geometry: g, axis, texts } = input;
  const height = g.ribbons?.height ?? 24;
  const clampX = (t: number): number =>
    Math.min(Math.max(xOf(g.plot, axis, t), g.plot.left), g.plot.left + g.plot.width);
  return svg`<g class="ribbon" data-testid=${`ribbon-${name}`}>
    ${pieces.length === 0 ? nothing : svg`<text class="second" x=${g.plot.left - 8} y=${top + height / 2 + 5} text-anchor="end">${name}</text>`}
    ${pieces.map((piece) => {
      const from = clampX(piece.from_s);
      const to = clampX(piece.to_s);
      const width = Math.max(0, to - from);
      const label = texts.phases[piece.phase] ?? piece.phase;
      const usualTo = piece.usual_s === null ? null : clampX(piece.from_s + piece.usual_s);
      return svg`<g data-phase=${piece.phase} data-kind=${piece.kind}>
        <rect class=${piece.kind === "future" ? "future" : "past"} x=${from + 0.5} y=${top + 0.5} width=${Math.max(0, width - 1)} height=${height - 1}></rect>
        ${piece.kind === "present" ? svg`<rect class="present" x=${from} y=${top} width=${width} height="3"></rect>` : nothing}
        ${fits(label, width, input.place, piece.kind === "present") ? svg`<text class=${piece.kind === "present" ? "strong" : piece.kind === "past" ? "first" : "second"} x=${from + 5} y=${top + height / 2 + (input.place === "wall" ? 10 : 5)}>${label}</text>` : nothing}
        ${usualTo === null || usualTo - from < 3 ? nothing : svg`<path class="bracket" d=${`M${from + 1} ${top + height + 2}v5H${usualTo - 1}v-5`}></path>`}
      </g>`;
    })}
  </g>`;
}
