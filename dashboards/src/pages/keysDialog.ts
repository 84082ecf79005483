import { html, type TemplateResult } from "lit-html";
import type { Theme } from "../state/look";
import type { Texts } from "../texts/en";

/** The list of keys, and the choice of the look beside it. */
export function keysDialog(texts: Texts, theme: Theme, choose: (theme: Theme) => void): TemplateResult {
  const themes: readonly Theme[] = ["auto", "light", "dark", "contrast"];
  return html`<dialog class="keys" aria-labelledby="keys-heading" data-testid="keys">
    <h2 id="keys-heading">${texts.keys.heading}</h2>
    <dl>${texts.keys.list.map(([key, meaning]) => html`<div><dt><kbd>${key}</kbd></dt><dd>${meaning}</dd></div>`)}</dl>
    <fieldset>
      <legend>${texts.look.button}</legend>
      ${themes.map((name) => html`<label><input type="radio" name="theme" .checked=${name === theme} @change=${() => choose(name)} />${texts.look.theme[name]}</label>`)}
    </fieldset>
    <form method="dialog"><button type="submit">${texts.keys.close}</button></form>
  </dialog>`;
}
