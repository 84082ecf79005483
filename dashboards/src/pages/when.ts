import { html, type TemplateResult } from "lit-html";
import * as write from "../texts/format";

/** A moment as it is written, with the same in UTC at hand. */
export const when = (ms: number, text: string): TemplateResult =>
  html`<time datetime=${new Date(ms).toISOString()} title=${write.utc(ms)}>${text}</time>`;
