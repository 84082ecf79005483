import type { Language } from "../state/preferences";
import { de } from "./de";
import { en, type Texts } from "./en";

const all: Record<Language, Texts> = { en, de };

/** Every word in a language. */
export const textsOf = (language: Language): Texts => all[language];
