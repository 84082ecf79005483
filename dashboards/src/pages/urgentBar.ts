import { html, nothing, type TemplateResult } from "lit-html";
import type { Prompt } from "../state/promptTypes";
import { addressOf } from "../state/route";
import type { Texts } from "../texts/en";
import { shapes } from "./promptBar";

/** What the live cell asks for, in one row, wherever one is: whoever reads the record must not miss it. */
export function urgentBar(
  prompts: readonly Prompt[],
  texts: Texts,
  cell: number | null,
): TemplateResult | typeof nothing {
  const first = prompts.find((prompt) => prompt.tone === "act" || prompt.alarm !== null || prompt.key === "link/lost");
  if (first === undefined) return nothing;
  return html`<a class=${`urgent ${first.tone}`} href=${addressOf({ place: "cell", cell })} data-testid="urgent">
    ${shapes[first.tone] ?? nothing}<b>${texts.urgent}</b><span>${first.sentence}</span>
  </a>`;
}
