import { html, nothing, type TemplateResult } from "lit-html";
import type { Place } from "../charts/geometry";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";

export interface StoredHeadInput {
  readonly title: string;
  readonly what: TemplateResult | typeof nothing;
  readonly demo: boolean;
  readonly clockMs: number;
  readonly place: Place;
  readonly links: TemplateResult | typeof nothing;
  readonly tools: TemplateResult | typeof nothing;
  readonly texts: Texts;
}

/** The head of a page that shows the record. */
export function storedHead(input: StoredHeadInput): TemplateResult {
  const { texts, place } = input;
  return html`<header class="head stored">
    ${input.links}
    <h1>${input.title}</h1>
    <p class="head-what">${input.demo && place === "phone" ? html`<b data-testid="demo">${texts.demoShort}</b> · ` : nothing}${input.what}</p>
    ${input.demo && place !== "phone" ? html`<p class="demo" data-testid="demo">${place === "desk" ? texts.demo : texts.demoShort}</p>` : nothing}
    <div class="head-tools">${input.tools}</div>
    <p class="clock" data-testid="clock">${write.clock(input.clockMs)}</p>
  </header>`;
}
