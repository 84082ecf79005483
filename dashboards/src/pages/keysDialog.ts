import { html, type TemplateResult } from "lit-html";
import { type Theme, themes } from "../state/look";
import { languages, type Preferences } from "../state/preferences";
import type { Texts } from "../texts/en";
import { pressureUnits, symbolOf, temperatureUnits } from "../texts/units";

export interface DialogInput {
  readonly theme: Theme;
  readonly chooseTheme: (theme: Theme) => void;
  readonly preferences: Preferences;
  readonly choose: (preferences: Preferences) => void;
  /** Address of the codes to print. */
  readonly codes: string;
}

const leave = (event: Event): void => (event.target as Element).closest("dialog")?.close();

/** The list of keys, and beside it how somebody reads: look, language, units, times. */
export function keysDialog(texts: Texts, input: DialogInput): TemplateResult {
  const { preferences } = input;
  const words = texts.settings;
  const group = <T extends string>(
    legend: string,
    name: string,
    options: readonly T[],
    chosen: T,
    written: (option: T) => string,
    choose: (option: T) => void,
  ): TemplateResult => html`<fieldset>
    <legend>${legend}</legend>
    ${options.map((option) => html`<label><input type="radio" name=${name} value=${option} .checked=${option === chosen} @change=${() => choose(option)} />${written(option)}</label>`)}
  </fieldset>`;
  return html`<dialog class="keys" aria-labelledby="keys-heading" data-testid="keys">
    <div class="dialog-columns">
      <div>
        <h2 id="keys-heading">${texts.keys.heading}</h2>
        <dl>${texts.keys.list.map(([key, meaning]) => html`<div><dt><kbd>${key}</kbd></dt><dd>${meaning}</dd></div>`)}</dl>
      </div>
      <div class="settings">
        ${group(texts.look.button, "theme", themes, input.theme, (theme) => texts.look.theme[theme], input.chooseTheme)}
        ${group(
          words.language,
          "language",
          languages,
          preferences.language,
          (language) => words.languages[language],
          (language) => input.choose({ ...preferences, language }),
        )}
        ${group(
          words.temperature,
          "temperature",
          temperatureUnits,
          preferences.temperature,
          (temperature) => symbolOf("degC", { ...preferences, temperature }),
          (temperature) => input.choose({ ...preferences, temperature }),
        )}
        ${group(
          words.pressure,
          "pressure",
          pressureUnits,
          preferences.pressure,
          (pressure) => pressure,
          (pressure) => input.choose({ ...preferences, pressure }),
        )}
        ${group(
          words.times,
          "times",
          ["local", "utc"] as const,
          preferences.utc ? "utc" : "local",
          (times) => words[times],
          (times) => input.choose({ ...preferences, utc: times === "utc" }),
        )}
        <p><a href=${input.codes} data-testid="codes-link" @click=${leave}>${texts.codes.button}</a></p>
      </div>
    </div>
    <form method="dialog"><button type="submit">${texts.keys.close}</button></form>
  </dialog>`;
}
