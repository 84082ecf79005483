/**
 * Code 128 (ISO/IEC 15417), set B: a linear symbology that every code scanner knows and that carries the sign with which
 * our codes begin. Widths of bars and spaces in modules, a bar first; index is the symbol's value.
 */
const patterns = (
  "212222 222122 222221 121223 121322 131222 122213 122312 132212 221213 221312 231212 112232 122132 122231 113222 " +
  "123122 123221 223211 221132 221231 213212 223112 312131 311222 321122 321221 312212 322112 322211 212123 212321 " +
  "232121 111323 131123 131321 112313 132113 132311 211313 231113 231311 112133 112331 132131 113123 113321 133121 " +
  "313121 211331 231131 213113 213311 213131 311123 311321 331121 312113 312311 332111 314111 221411 431111 111224 " +
  "111422 121124 121421 141122 141221 112214 112412 122114 122411 142112 142211 241211 221114 413111 241112 134111 " +
  "111242 121142 121241 114212 124112 124211 411212 421112 421211 212141 214121 412121 111143 111341 131141 114113 " +
  "114311 411113 411311 113141 114131 311141 411131 211412 211214 211232 2331112"
).split(" ");
const startB = 104;
const stop = 106;

/** Values of the symbols of a text: start, characters, check character, stop; null: a character that set B has not. */
export function code128Values(text: string): readonly number[] | null {
  const characters = [...text].map((letter) => (letter.codePointAt(0) ?? 0) - 32);
  if (characters.length === 0 || characters.some((value) => value < 0 || value > 94)) return null;
  const check = characters.reduce((sum, value, i) => sum + value * (i + 1), startB) % 103;
  return [startB, ...characters, check, stop];
}

/** Bars of a text in modules from the left edge of the first; null where it cannot be written. */
export function code128(
  text: string,
): { readonly bars: readonly { readonly at: number; readonly width: number }[]; readonly modules: number } | null {
  const values = code128Values(text);
  if (values === null) return null;
  const bars: { at: number; width: number }[] = [];
  let at = 0;
  for (const value of values)
    [...patterns[value]].forEach((digit, i) => {
      const width = Number(digit);
      if (i % 2 === 0) bars.push({ at, width });
      at += width;
    });
  return { bars, modules: at };
}
