import { html, nothing, svg, type TemplateResult } from "lit-html";
import type { Prompt, Tone } from "../state/promptTypes";
import type { Texts } from "../texts/en";

/** The sign of each tone: colour is never the only one. */
export const shapes: Record<Tone, TemplateResult | null> = {
  act: html`<svg class="shape" viewBox="0 0 36 36" aria-hidden="true">${svg`<rect x="3" y="3" width="30" height="30"></rect>`}</svg>`,
  soon: html`<svg class="shape" viewBox="0 0 36 36" aria-hidden="true">${svg`<path d="M18 2L35 33H1Z"></path>`}</svg>`,
  unknown: html`<svg class="shape" viewBox="0 0 36 36" aria-hidden="true">${svg`<rect class="unknown" x="3.5" y="3.5" width="29" height="29" fill="url(#bar-hatch)"></rect>`}</svg>`,
  calm: null,
};

/** What became of an acknowledgement that was pressed here. */
export interface Sending {
  readonly alarmId: string;
  readonly state: "sending" | "failed";
}

/**
 * The sentences on top: one large, or one row each where several stand.
 * @param did asks what somebody did about one; null: it is not asked here
 */
export function promptBar(
  prompts: readonly Prompt[],
  sending: Sending | null,
  texts: Texts,
  acknowledge: (prompt: Prompt) => void,
  did: ((prompt: Prompt) => void) | null = null,
): TemplateResult {
  const several = prompts.length > 1;
  return html`<section class=${several ? "prompts several" : "prompts"} aria-label=${texts.prompt.label} data-testid="prompts">
    ${prompts.slice(0, 4).map((prompt, index) => {
      const mine = sending?.alarmId === prompt.alarm?.id ? sending : null;
      return html`<div class=${`prompt ${prompt.tone}`} data-tone=${prompt.tone} data-testid=${index === 0 ? "prompt" : "prompt-more"}>
        ${shapes[prompt.tone] ?? nothing}
        <div class="prompt-words">
          <p class="sentence" data-testid=${index === 0 ? "sentence" : nothing}>${prompt.sentence}</p>
          <p class="detail">${prompt.detail}${mine?.state === "failed" ? ` ${texts.alarm.acknowledgeFailed}` : nothing}</p>
        </div>
        ${
          prompt.alarm === null
            ? nothing
            : html`<button type="button" class="answer" data-testid=${index === 0 ? "acknowledge" : nothing} ?disabled=${mine?.state === "sending"} @click=${() => acknowledge(prompt)}>
                ${mine?.state === "sending" ? texts.alarm.acknowledging : texts.alarm.acknowledge}
              </button>
              ${did === null ? nothing : html`<button type="button" class="plain did" data-testid=${index === 0 ? "did" : nothing} @click=${() => did(prompt)}>${texts.orders.did.button}</button>`}`
        }
      </div>`;
    })}
  </section>`;
}
