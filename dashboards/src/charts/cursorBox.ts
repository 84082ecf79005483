import { nothing, type SVGTemplateResult, svg } from "lit-html";
import { letterPx } from "./frameTypes";
import type { Place, SheetGeometry } from "./geometry";

const rowPx = 22;

/** The words at a cursor: in one row above the curves, or where the screen is too narrow a row each, over the phases. */
export function cursorBox(
  parts: readonly string[],
  x: number,
  measured: boolean,
  geometry: SheetGeometry,
  place: Place,
): SVGTemplateResult {
  const { plot, ribbons, width: most } = geometry;
  const widthOf = (text: string): number => Math.round(text.length * letterPx(place) + 20);
  const joined = parts.join(" · ");
  const rows = widthOf(joined) <= plot.left + plot.width ? [joined] : parts;
  const width = Math.min(Math.max(...rows.map(widthOf)), most - 4);
  const right = Math.max(plot.left + plot.width, width + 2);
  const left = Math.min(Math.max(x - width / 2, Math.min(plot.left, right - width)), right - width);
  const top = rows.length === 1 || ribbons === null ? 0 : ribbons.thermal - 6;
  return svg`<rect class=${measured ? "cursor-box measured" : "cursor-box"} x=${left} y=${top} width=${width} height=${rows.length * rowPx + 2}></rect>
    <text text-anchor="middle" data-testid="cursor-text">${rows.map((row, i) => svg`<tspan x=${left + width / 2} y=${top + 17 + i * rowPx} textLength=${widthOf(row) > width ? width - 12 : nothing} lengthAdjust="spacingAndGlyphs">${row}</tspan>`)}</text>`;
}
