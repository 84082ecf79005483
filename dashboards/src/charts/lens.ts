import { type Box, type Range, yOf } from "./geometry";

/** The piece near liquidus, drawn taller on the same time axis in the corner that the run leaves empty. */
export interface Lens {
  readonly box: Box;
  readonly x: Range;
  readonly y: Range;
  /** How many times taller than the strip. */
  readonly times: number;
}

export interface LensInput {
  readonly plot: Box;
  readonly axis: Range;
  readonly temperatures: Range;
  readonly liquidus: number;
  /** Newest values of the product channels. */
  readonly values: readonly number[];
  readonly peakLimit: number | null;
  /** When the first product channel came within 6 K of liquidus; null before. s. */
  readonly from_s: number | null;
  readonly until_s: number;
  /** Least temperature drawn since then, degC: the lens must stay below it. */
  readonly least: number;
  /** Greatest temperature drawn since then, degC. */
  readonly greatest: number;
  /** Whether it was shown just now: it goes later than it comes, or it would flicker. */
  readonly shown: boolean;
}

/** Curves closer together than this, in K, cannot be told apart in the strip. */
const closeK = 12;

export function planLens(input: LensInput): Lens | null {
  const { plot, values, liquidus, from_s } = input;
  if (from_s === null || values.length < 2) return null;
  const coolest = Math.min(...values);
  const hottest = Math.max(...values);
  const slack = input.shown ? 4 : 0;
  if (hottest < liquidus - slack || coolest < liquidus - 5 - slack || hottest - coolest >= closeK + slack) return null;
  const y = { min: liquidus - 5, max: Math.max(liquidus + 12, (input.peakLimit ?? 0) + 1.5, input.greatest + 1.5) };
  const perKelvin = plot.height / (input.temperatures.max - input.temperatures.min);
  const bottom = plot.top + plot.height - 12;
  // Below the curves, with room for its own title.
  const top = yOf(plot, input.temperatures, Math.min(input.least, liquidus - 5)) + 36;
  const times = Math.min(4, Math.floor(((bottom - top) / ((y.max - y.min) * perKelvin)) * 2) / 2);
  if (times < 2) return null;
  const height = Math.round((y.max - y.min) * perKelvin * times);
  const x = { min: Math.max(input.axis.min, from_s), max: Math.min(input.axis.max, input.until_s) };
  const scale = plot.width / (input.axis.max - input.axis.min);
  const width = Math.round((x.max - x.min) * scale);
  if (width < 120) return null;
  return {
    box: { left: Math.round(plot.left + (x.min - input.axis.min) * scale), top: bottom - height, width, height },
    x,
    y,
    times,
  };
}
