import { describe, expect, it } from "vitest";
import { code128, code128Values } from "../../src/charts/code128";
import { codeActions } from "../../src/pages/codesPage";

describe("codes for a scanner", () => {
  it("Check_characters_are_those_of_the_symbology", () => {
    // PJJ123C with check character 54 in set A is the usual worked example; set B holds the same characters at the
    // same values and differs in its start character by one, so that its check character is 55.
    expect(code128Values("PJJ123C")?.at(-2)).toBe(54 + 1);
  });

  it("Every_symbol_is_eleven_modules_of_bars_that_add_up_to_an_even_number", () => {
    for (const letter of Array.from({ length: 95 }, (_, i) => String.fromCharCode(32 + i))) {
      const code = code128(letter);
      // Start, the letter, its check character and the stop of thirteen modules.
      expect(code?.modules, letter).toBe(11 + 11 + 11 + 13);
      const inLetter = code?.bars.filter(({ at }) => at >= 11 && at < 22) ?? [];
      expect(inLetter.length).toBe(3);
      expect(inLetter.reduce((sum, bar) => sum + bar.width, 0) % 2, letter).toBe(0);
    }
    const drawn = new Set(
      Array.from({ length: 95 }, (_, i) => {
        const bars = code128(String.fromCharCode(32 + i))?.bars.filter(({ at }) => at >= 11 && at < 22) ?? [];
        return JSON.stringify(bars);
      }),
    );
    expect(drawn.size).toBe(95);
  });

  it("Every_action_of_the_pages_has_a_code_and_what_the_symbology_lacks_has_none", () => {
    for (const action of codeActions) expect(code128(`%${action}`)).not.toBeNull();
    for (const text of ["", "%BY-JÜRGEN", "%WHY-a\nb"]) expect(code128(text)).toBeNull();
  });
});
