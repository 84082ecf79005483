import { describe, expect, it } from "vitest";
import contrastExamples from "../../../tests/reference/protocol/contrast_examples.csv?raw";
import css from "../../src/styles/tokens.css?raw";

type Theme = Map<string, string>;
const themes = new Map<string, Theme>();
for (const [, selector, body] of css.matchAll(/([^{}]+)\{([^{}]*)\}/g)) {
  const name = /data-theme="(\w+)"/.exec(selector)?.[1];
  if (name === undefined) continue;
  themes.set(name, new Map([...body.matchAll(/--([\w-]+):\s*(#[0-9a-f]{6})/g)].map(([, key, value]) => [key, value])));
}
const dashes = new Map([...css.matchAll(/--(d\d+):\s*([^;]+);/g)].map(([, key, value]) => [key, value.trim()]));

const channels = (hex: string): number[] => [1, 3, 5].map((i) => Number.parseInt(hex.slice(i, i + 2), 16) / 255);
const linear = (value: number): number => (value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4);
const luminance = (hex: string): number => {
  const [r, g, b] = channels(hex.toLowerCase()).map(linear);
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
};
function contrast(a: string, b: string): number {
  const [low, high] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (high + 0.05) / (low + 0.05);
}

// Machado, Oliveira, Fernandes 2009, severity 1.0, on linear RGB. Matrices from memory.
const sights: Record<string, number[][]> = {
  normal: [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ],
  protan: [
    [0.152286, 1.052583, -0.204868],
    [0.114503, 0.786281, 0.099216],
    [-0.003882, -0.048116, 1.051998],
  ],
  deutan: [
    [0.367322, 0.860646, -0.227968],
    [0.280085, 0.672501, 0.047413],
    [-0.01182, 0.04294, 0.968881],
  ],
  tritan: [
    [1.255528, -0.076749, -0.178779],
    [-0.078411, 0.930809, 0.147602],
    [0.004733, 0.691367, 0.3039],
  ],
};

function lab(hex: string, sight: number[][]): number[] {
  const rgb = channels(hex).map(linear);
  const [r, g, b] = sight.map((row) => Math.min(Math.max(row[0] * rgb[0] + row[1] * rgb[1] + row[2] * rgb[2], 0), 1));
  const f = (t: number): number => (t > 0.008856 ? Math.cbrt(t) : 7.787 * t + 16 / 116);
  const x = f((0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505);
  const y = f(0.2126 * r + 0.7152 * g + 0.0722 * b);
  const z = f((0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.089);
  return [116 * y - 16, 500 * (x - y), 200 * (y - z)];
}
const distance = (a: string, b: string, sight: number[][]): number => {
  const [p, q] = [lab(a, sight), lab(b, sight)];
  return Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]);
};

describe("tokens", () => {
  it("The_contrast_formula_agrees_with_the_reference_file", () => {
    const rows = contrastExamples.trim().split(/\r?\n/).slice(1);
    expect(rows.length).toBeGreaterThan(5);
    for (const row of rows) {
      const [foreground, background, ratio] = row.split(",");
      expect(contrast(foreground, background)).toBeCloseTo(Number(ratio), 1);
    }
  });

  it("There_are_a_light_a_dark_and_a_high_contrast_theme", () => {
    expect([...themes.keys()]).toEqual(["light", "dark", "contrast"]);
  });

  for (const [name, theme] of themes) {
    const of = (key: string): string => theme.get(key) ?? "#missing";
    it(`Text_is_readable_on_every_ground_in_${name}`, () => {
      for (const ground of ["page", "sheet", "raise", "band", "corridor", "fan-90", "fan-50"])
        for (const text of ["ink", "ink-2"])
          expect(contrast(of(text), of(ground)), `${text} on ${ground}`).toBeGreaterThanOrEqual(4.5);
      for (const ground of ["page", "sheet"])
        expect(contrast(of("soon"), of(ground)), `soon on ${ground}`).toBeGreaterThanOrEqual(4.5);
      for (const text of ["ink", "soon"])
        expect(contrast(of(text), of("soon-fill")), `${text} on soon-fill`).toBeGreaterThanOrEqual(4.5);
      expect(contrast(of("on-act"), of("act"))).toBeGreaterThanOrEqual(4.5);
      // Buttons are sheet on ink.
      expect(contrast(of("sheet"), of("ink"))).toBeGreaterThanOrEqual(4.5);
    });

    it(`Marks_and_curves_stand_out_in_${name}`, () => {
      const curves = [...theme.keys()].filter((key) => /^c(\d+|-)/.test(key));
      expect(curves).toHaveLength(15);
      for (const key of ["rule", "hatch", "act", ...curves])
        expect(contrast(of(key), of("sheet")), key).toBeGreaterThanOrEqual(3);
      expect(contrast(of("act"), of("soon-fill"))).toBeGreaterThanOrEqual(3);
    });

    it(`Curve_styles_differ_in_dash_or_in_ink_for_every_kind_of_sight_in_${name}`, () => {
      for (let a = 1; a <= 12; a++)
        for (let b = a + 1; b <= 12; b++) {
          if (dashes.get(`d${a}`) !== dashes.get(`d${b}`)) continue;
          for (const [sight, matrix] of Object.entries(sights))
            expect(distance(of(`c${a}`), of(`c${b}`), matrix), `styles ${a} and ${b}, ${sight}`).toBeGreaterThanOrEqual(
              25,
            );
        }
    });

    it(`Soon_and_act_differ_for_every_kind_of_sight_in_${name}`, () => {
      for (const matrix of Object.values(sights))
        expect(distance(of("soon"), of("act"), matrix)).toBeGreaterThanOrEqual(14);
    });
  }
});
