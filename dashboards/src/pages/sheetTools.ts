import { html, nothing, type TemplateResult } from "lit-html";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";

export interface ToolsInput {
  readonly zoomed: boolean;
  /** A cursor stands somewhere. */
  readonly pointed: boolean;
  /** Moment at which the picture is held, s in the run; null while it goes on. */
  readonly heldAt_s: number | null;
  /** Which point of a measurement is asked for; `done`: it stands. */
  readonly measuring: "from" | "to" | "done" | null;
  readonly zoom: (factor: number) => void;
  readonly pan: (part: number) => void;
  readonly wholeRun: () => void;
  /** No cursor, no measurement, no closer look, nothing held. */
  readonly toNow: () => void;
  readonly freeze: () => void;
  readonly measure: () => void;
}

/** What the tools of one picture can do beside looking closer. */
export interface ToolsFor {
  /** How far the run has come, s; null: it has ended, and there is nothing to hold. */
  readonly elapsed_s: number | null;
  readonly savePicture: () => void;
  /** Asks for words to write at the cursor, or at now; null where there is no run. */
  readonly annotate: (() => void) | null;
}

/** Buttons for what dragging, the wheel and the keys do; they stand back until they are looked for. */
export function sheetTools(input: ToolsInput, of: ToolsFor, texts: Texts): TemplateResult {
  const words = texts.chart;
  const { heldAt_s, measuring } = input;
  const active = input.zoomed || heldAt_s !== null || measuring !== null;
  const said =
    measuring === "from"
      ? words.measureFrom
      : measuring === "to"
        ? words.measureTo
        : heldAt_s !== null && of.elapsed_s !== null
          ? words.frozen(write.runTime(heldAt_s), write.wholeSpan(of.elapsed_s - heldAt_s))
          : null;
  return html`<div class=${`tools${active ? " active" : ""}${input.pointed ? " pointed" : ""}`} data-testid="tools">
    ${said === null ? nothing : html`<p data-testid=${measuring === "from" || measuring === "to" ? "measuring" : "held"}>${said}</p>`}
    <button type="button" data-testid="closer" @click=${() => input.zoom(0.5)}>${words.closer}</button>
    <button type="button" data-testid="wider" @click=${() => input.zoom(2)}>${words.wider}</button>
    ${
      input.zoomed
        ? html`<button type="button" data-testid="earlier" @click=${() => input.pan(-0.5)}>${words.earlier}</button>
            <button type="button" data-testid="later" @click=${() => input.pan(0.5)}>${words.later}</button>`
        : nothing
    }
    ${input.zoomed ? html`<button type="button" data-testid="whole-run" @click=${input.wholeRun}>${words.wholeRun}</button>` : nothing}
    <button type="button" data-testid="measure" aria-pressed=${measuring !== null} @click=${input.measure}>${measuring === "done" ? words.measured : words.measure}</button>
    ${of.elapsed_s === null ? nothing : html`<button type="button" data-testid="freeze" aria-pressed=${heldAt_s !== null} @click=${input.freeze}>${heldAt_s === null ? words.freeze : words.resume}</button>`}
    ${of.elapsed_s === null || !(active || input.pointed) ? nothing : html`<button type="button" data-testid="to-now" @click=${input.toNow}>${words.toNow}</button>`}
    ${of.annotate === null ? nothing : html`<button type="button" data-testid="annotate" @click=${of.annotate}>${texts.annotate.button}</button>`}
    <button type="button" data-testid="save-picture" @click=${of.savePicture}>${words.savePicture}</button>
  </div>`;
}
