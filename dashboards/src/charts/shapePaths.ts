import type { RunShape } from "../feed/records";

/** Paths of a small drawing, in px of its box. */
export interface ShapePaths {
  /** Closed areas between coolest and hottest, one for each stretch without a gap. */
  readonly band: string;
  readonly top: string;
  readonly pressure: string;
}

const cold = 15;
const hot = 250;

/** Stretches of columns in which something was read. */
function stretches(values: readonly (number | null)[]): (readonly [number, number])[] {
  const found: (readonly [number, number])[] = [];
  let from = -1;
  for (let i = 0; i <= values.length; i++) {
    const there = i < values.length && values[i] !== null;
    if (there && from < 0) from = i;
    if (!there && from >= 0) {
      found.push([from, i]);
      from = -1;
    }
  }
  return found;
}

/**
 * A run's shape in a box: temperatures over the whole height, the chamber pressure in the same box, on its own
 * logarithmic axis. What was not read is not drawn.
 * @param width how wide the run's length is; @param hottest greatest temperature that fits
 */
export function shapePaths(shape: RunShape, width: number, height: number, hottest = hot): ShapePaths {
  const columns = shape.high.length;
  const x = (column: number): string => (((column + 0.5) / columns) * width).toFixed(1);
  const y = (degC: number): string => ((1 - (degC - cold) / (Math.max(hot, hottest) - cold)) * height).toFixed(1);
  // Six decades, 0.01 mbar to a little above the atmosphere.
  const yp = (mbar: number): string =>
    ((1 - (Math.log10(Math.max(mbar, 0.01)) + 2) / (Math.log10(1400) + 2)) * height).toFixed(1);
  const line = (values: readonly (number | null)[], at: (value: number) => string, from: number, to: number): string =>
    Array.from({ length: to - from }, (_, i) => `${x(from + i)} ${at(values[from + i] ?? 0)}`).join("L");
  const parts = stretches(shape.high);
  return {
    band: parts
      .map(([from, to]) => {
        const below = Array.from({ length: to - from }, (_, i) => `${x(to - 1 - i)} ${y(shape.low[to - 1 - i] ?? 0)}`);
        return `M${line(shape.high, y, from, to)}L${below.join("L")}Z`;
      })
      .join(""),
    top: parts.map(([from, to]) => `M${line(shape.high, y, from, to)}`).join(""),
    pressure: stretches(shape.pressure)
      .map(([from, to]) => `M${line(shape.pressure, yp, from, to)}`)
      .join(""),
  };
}
