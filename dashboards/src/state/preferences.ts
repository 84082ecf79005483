import type { Reading } from "../texts/format";
import { type PressureUnit, pressureUnits, type TemperatureUnit, temperatureUnits } from "../texts/units";

export const languages = ["en", "de"] as const;
export type Language = (typeof languages)[number];

/** What a person chose at this browser; the record knows nothing of it. */
export interface Preferences {
  readonly language: Language;
  readonly temperature: TemperatureUnit;
  readonly pressure: PressureUnit;
  readonly utc: boolean;
}

const key = "thermowatch.preferences";

/** What was kept, as far as it is understood; else what the browser's language asks for, and the units of the trade. */
export function parsePreferences(kept: string | null, browserLanguage: string): Preferences {
  let found: Partial<Record<keyof Preferences, unknown>> = {};
  try {
    found = (JSON.parse(kept ?? "{}") ?? {}) as typeof found;
  } catch {
    // What another program left under this name is no choice of anybody's.
  }
  const spoken = languages.find((language) => browserLanguage.toLowerCase().startsWith(language)) ?? "en";
  return {
    language: languages.find((language) => language === found.language) ?? spoken,
    temperature: temperatureUnits.find((unit) => unit === found.temperature) ?? "degC",
    pressure: pressureUnits.find((unit) => unit === found.pressure) ?? "mbar",
    utc: found.utc === true,
  };
}

export function readPreferences(): Preferences {
  try {
    return parsePreferences(localStorage.getItem(key), navigator.language);
  } catch {
    return parsePreferences(null, navigator.language);
  }
}

export function keepPreferences(preferences: Preferences): void {
  try {
    localStorage.setItem(key, JSON.stringify(preferences));
  } catch {
    // A browser that keeps nothing still shows what was chosen, until the page is left.
  }
}

/** How numbers and times are written for somebody. */
export const readingOf = (preferences: Preferences): Reading => ({
  temperature: preferences.temperature,
  pressure: preferences.pressure,
  utc: preferences.utc,
  language: preferences.language,
  decimal: preferences.language === "de" ? "," : ".",
});
