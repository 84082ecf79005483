import { html, nothing, svg, type TemplateResult } from "lit-html";
import { code128 } from "../charts/code128";
import type { Texts } from "../texts/en";
import { codeSign } from "./scanner";

/** Actions that a scanned code does, in the order in which they are used at a machine. */
export const codeActions = [
  "SEEN", "RELEASE", "HOLD", "INSPECT", "REWORK", "SCRAP", "SEND", "CELL", "FLOOR", "RUNS", "ALARMS",
] as const; // biome-ignore format: a list is easier to scan in few lines
export type CodeAction = (typeof codeActions)[number];

/** Width of a narrow bar, px: 0.4 mm on paper, which a hand scanner reads from arm's length. */
const modulePx = 1.5;
const heightPx = 64;
/** Empty paper beside a code, in modules; the symbology asks for ten. */
const quiet = 10;

/** A code as bars on white, whatever the theme: paper and scanners want it so. */
export function codeDrawing(text: string, words: string): TemplateResult | typeof nothing {
  const code = code128(text);
  if (code === null) return nothing;
  const modules = code.modules + 2 * quiet;
  return html`<svg class="code" width=${modules * modulePx} height=${heightPx} viewBox=${`0 0 ${modules} ${heightPx}`} preserveAspectRatio="none" role="img" aria-label=${words} shape-rendering="crispEdges">
    <rect class="paper" width=${modules} height=${heightPx}></rect>
    ${code.bars.map(({ at, width }) => svg`<rect class="bar" x=${quiet + at} width=${width} height=${heightPx}></rect>`)}
  </svg>`;
}

export interface CodesPageInput {
  readonly head: TemplateResult;
  readonly urgent: TemplateResult | typeof nothing;
  readonly texts: Texts;
  /** Names and reasons for which somebody wants codes, one a line. */
  readonly people: string;
  readonly reasons: string;
  readonly write: (field: "people" | "reasons", text: string) => void;
}

const lines = (text: string): string[] =>
  text
    .split("\n")
    .map((line) => line.trim())
    .filter((line) => line !== "");

/** A sheet of codes for the panel, to print and hang up beside the machine. */
export function codesPage(input: CodesPageInput): TemplateResult {
  const { texts } = input;
  const words = texts.codes;
  const card = (name: string, code: string, id: string) => html`<li class="code-card" data-testid=${id}>
    <b>${name}</b>${code128(code) === null ? html`<p class="second">${words.cannot}</p>` : html`${codeDrawing(code, name)}<span class="second">${code}</span>`}
  </li>`;
  const field = (name: "people" | "reasons") => html`<label class="asked"><span>${words[name]}</span>
    <textarea name=${name} rows="3" .value=${input[name]} @input=${(event: Event) => input.write(name, (event.target as HTMLTextAreaElement).value)}></textarea></label>`;
  return html`${input.head} ${input.urgent}
    <div class="codes" data-testid="codes" tabindex="0" role="region" aria-label=${words.heading}>
      <p class="codes-how">${words.how}</p>
      <form class="codes-more" @submit=${(event: Event) => event.preventDefault()}>${field("people")} ${field("reasons")}</form>
      <ul>
        ${codeActions.map((action) => card(words.actions[action], `${codeSign}${action}`, `code-${action}`))}
        ${lines(input.people).map((name) => card(words.by(name), `${codeSign}BY-${name}`, "code-by"))}
        ${lines(input.reasons).map((reason) => card(words.why(reason), `${codeSign}WHY-${reason}`, "code-why"))}
      </ul>
    </div>`;
}
