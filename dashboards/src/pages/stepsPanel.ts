import { html, type TemplateResult } from "lit-html";
import type { FirstStep } from "../state/firstSteps";
import type { Texts } from "../texts/en";

/**
 * The path from a bare cell to its first judged run, each step with its proof of this moment.
 * @param readings the newest ones: what a bead shows that is warmed
 */
export function stepsPanel(steps: readonly FirstStep[], readings: TemplateResult, texts: Texts): TemplateResult {
  const words = texts.steps;
  const next = steps.find((step) => !step.done)?.name;
  return html`<section class="steps" aria-labelledby="steps-heading" data-testid="steps">
    <div><h2 id="steps-heading">${words.heading}</h2>
    <ol>${steps.map(
      (
        step,
      ) => html`<li data-testid=${`step-${step.name}`} data-done=${String(step.done)} aria-current=${step.name === next ? "step" : "false"}>
        <b>${words.names[step.name]}</b> <span class="second">${step.done ? words.done : step.name === next ? words.next : words.later}</span>
        <p>${step.proof}</p>
        ${step.name === next ? html`<p class="second">${words.help[step.name]}</p>` : ""}
      </li>`,
    )}</ol></div>
    ${readings}
  </section>`;
}
