import { describe, expect, it } from "vitest";
import { de } from "../../src/texts/de";
import { en } from "../../src/texts/en";

/** Every key with what it holds: a text, a function of so many parts, or a list of so many. */
function shape(value: unknown, path = ""): string[] {
  if (typeof value === "function") return [`${path}(${value.length})`];
  if (Array.isArray(value)) return [`${path}[${value.length}]`];
  if (typeof value === "object" && value !== null)
    return Object.entries(value).flatMap(([key, inner]) => shape(inner, `${path}.${key}`));
  return [path];
}

/** Every sentence that can be said; parts that are put in are given as bare marks. */
function sentences(value: unknown): string[] {
  if (typeof value === "function") {
    const parts = Array.from({ length: value.length }, () => "~");
    const said = [
      value(...parts),
      value(...parts.map(() => 1)),
      value(...parts.map(() => 2)),
      value("~", true, "~"),
      value("~", null),
    ];
    return said.map(String);
  }
  if (typeof value === "object" && value !== null) return Object.values(value).flatMap(sentences);
  return typeof value === "string" ? [value] : [];
}

// What no text may ask of anybody, and what no text may promise.
const forbidden = {
  en: [
    /\bopen(s|ed|ing)?\b/i, /\breach(ing)? in/i, /\btak(e|es|ing) out\b/i, /\bremov/i, /\bbypass/i, /\bsafe(ly|ty)?\b/i,
    /\bok\b/i, /nothing is lost/i, /!/,
  ],
  de: [
    /öffn/i, /\boffen/i, /hineingreif|reingreif|greif/i, /herausnehm|entnehm|entnahm/i, /entfern/i, /überbrück|umgeh|aushebel/i,
    /(?<!un)sicher(?!ung)/i, /\bok\b|in ordnung/i, /nichts (ist|geht) verloren/i, /!/,
  ],
}; // biome-ignore format: a list is easier to scan in few lines

describe("texts", () => {
  it("Both_languages_have_the_same_keys_with_the_same_parts", () => {
    expect(shape(de)).toEqual(shape(en));
  });

  it("No_text_asks_to_touch_a_running_machine_or_promises_anything", () => {
    for (const [language, texts] of Object.entries({ en, de })) {
      // `lower` says nothing by itself.
      const said = sentences({ ...texts, lower: "" });
      expect(said.length).toBeGreaterThan(300);
      for (const pattern of forbidden[language as "en" | "de"])
        expect(
          said.filter((text) => pattern.test(text)),
          `${language} ${pattern}`,
        ).toEqual([]);
    }
  });

  it("German_is_not_English_left_over", () => {
    const english = new Map(en.keys.list.map(([key, text]) => [key, text]));
    for (const [key, text] of de.keys.list) expect(text).not.toBe(english.get(key));
    const names = Object.entries(de.figures.names).filter(([figure, name]) => en.figures.names[figure] === name);
    expect(names).toEqual([]);
    const conditions = Object.entries(de.alarm.conditions).filter(([key, text]) => en.alarm.conditions[key] === text);
    expect(conditions).toEqual([]);
  });
});
