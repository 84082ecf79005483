import type { Language } from "../state/preferences";
import { en, type Texts } from "./en";

/** The texts of a language. English comes with the pages; another one is fetched by whoever reads it. */
export async function textsOf(language: Language): Promise<Texts> {
  if (language === "en") return en;
  return (await import("./de")).de;
}
