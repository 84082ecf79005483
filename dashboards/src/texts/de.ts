import { en, type Texts } from "./en";

export const de: Texts = { ...en };
