import { html, nothing, type TemplateResult } from "lit-html";
import type { CellView } from "../state/view";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";

export interface ToolsInput {
  readonly zoomed: boolean;
  /** Moment at which the picture is held, s in the run; null while it goes on. */
  readonly heldAt_s: number | null;
  readonly zoom: (factor: number) => void;
  readonly wholeRun: () => void;
  readonly freeze: () => void;
}

/** Buttons for what dragging, the wheel and the keys do; they stand back until they are looked for. */
export function sheetTools(input: ToolsInput, view: CellView, texts: Texts): TemplateResult {
  const words = texts.chart;
  const { heldAt_s } = input;
  const active = input.zoomed || heldAt_s !== null;
  return html`<div class=${active ? "tools active" : "tools"}>
    <button type="button" @click=${() => input.zoom(0.5)}>${words.closer}</button>
    <button type="button" @click=${() => input.zoom(2)}>${words.wider}</button>
    ${input.zoomed ? html`<button type="button" data-testid="whole-run" @click=${input.wholeRun}>${words.wholeRun}</button>` : nothing}
    <button type="button" data-testid="freeze" aria-pressed=${heldAt_s !== null} @click=${input.freeze}>${heldAt_s === null ? words.freeze : words.resume}</button>
    ${heldAt_s === null ? nothing : html`<p data-testid="held">${words.frozen(write.runTime(heldAt_s), write.wholeSpan(view.elapsed_s - heldAt_s))}</p>`}
  </div>`;
}
