/** Where a window bar's limits stand, as parts of its width: the same on every bar, so that an outlier shows without reading. */
export const lowerAt = 0.2;
export const upperAt = 0.8;

export interface BarScale {
  /** Part of the width, not held inside 0 to 1. */
  at(value: number): number;
  readonly bandFrom: number;
  readonly bandTo: number;
}

/**
 * The scale of a window bar.
 * Two limits: linear between them; where both are the same the window is a line in the middle. Upper only: `base` at the left end. Lower only: half as much again above `base` at
 * the middle, so that there is something to be inside of.
 * @param base natural zero of the figure: 0, or liquidus for temperatures
 */
export function barScale(lower: number | null, upper: number | null, base: number): BarScale {
  if (lower !== null && lower === upper) {
    const width = (lower > base ? lower - base : Math.max(Math.abs(lower), 1)) * 2;
    return { at: (value) => 0.5 + (value - lower) / width, bandFrom: 0.5, bandTo: 0.5 };
  }
  if (lower !== null && upper !== null) {
    const width = (upper - lower) / (upperAt - lowerAt);
    return { at: (value) => lowerAt + (value - lower) / width, bandFrom: lowerAt, bandTo: upperAt };
  }
  if (upper !== null) {
    const width = (upper > base ? upper - base : Math.max(Math.abs(upper), 1)) / upperAt;
    return { at: (value) => upperAt + (value - upper) / width, bandFrom: 0, bandTo: upperAt };
  }
  if (lower !== null) {
    const half = lower > base ? (lower - base) / 2 : Math.max(Math.abs(lower) / 2, 1);
    const width = half / (0.5 - lowerAt);
    return { at: (value) => lowerAt + (value - lower) / width, bandFrom: lowerAt, bandTo: 1 };
  }
  return { at: () => 0.5, bandFrom: 0, bandTo: 1 };
}
