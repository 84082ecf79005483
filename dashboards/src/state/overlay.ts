import { Quality } from "../feed/frames";
import type { FigureRow } from "./figureRows";
import type { StoredRun } from "./storedRun";
import { readingAt } from "./traces";

/** Least and greatest in a stretch of time, s of the run. */
export interface BandPoint {
  readonly t: number;
  readonly low: number;
  readonly high: number;
}
/** Points that may be joined: no gap lies between them. */
export type Stretch = readonly BandPoint[];

/**
 * Coolest and hottest of some channels in columns of time. A spike of one sample is the greatest of its column; where
 * nothing was judged for longer than a gap, one stretch ends and another begins.
 * @param column_s width of a column; never narrower than what every device answers in
 */
export function bandOf(stored: StoredRun, channels: readonly number[], column_s: number): Stretch[] {
  const { traces } = stored.store;
  const { originMs, elapsed_s } = stored.view;
  if (traces === null || channels.length === 0) return [];
  const width = Math.max(column_s, stored.view.layout.interval_s * 1.01);
  const gap_s = Math.max(width, ...channels.map((channel) => traces.gapMs[channel] / 1000));
  const found: BandPoint[][] = [];
  let open: { t: number; low: number; high: number; until: number } | null = null;
  let column = Number.NEGATIVE_INFINITY;
  let before = Number.NEGATIVE_INFINITY;
  const close = (): void => {
    if (open === null) return;
    if (open.t - before > gap_s || found.length === 0) found.push([]);
    found[found.length - 1].push({ t: open.t, low: open.low, high: open.high });
    before = open.until;
    open = null;
  };
  for (let row = traces.rowAt(originMs); row < traces.end; row++) {
    const t = (traces.times[row] - originMs) / 1000;
    if (t > elapsed_s) break;
    for (const channel of channels) {
      if (traces.qualities[channel][row] > Quality.uncertain) continue;
      const value = traces.values[channel][row];
      const number = Math.floor(t / width);
      if (number !== column) {
        close();
        column = number;
      }
      if (open === null) open = { t, low: value, high: value, until: t };
      open.low = Math.min(open.low, value);
      open.high = Math.max(open.high, value);
      open.until = t;
    }
  }
  close();
  return found;
}

/** The temperatures that a run is laid over another by: its boards, or the vapour where none was measured. */
export function overlaid(stored: StoredRun): number[] {
  const product = stored.view.temperatures.filter((channel) => channel.style > 0);
  return (product.length > 0 ? product : stored.view.temperatures).map((channel) => channel.index);
}

/** When the first of the channels reached a level, s of the run; null: none did. */
export function firstAbove(stored: StoredRun, channels: readonly number[], level: number): number | null {
  const { traces } = stored.store;
  if (traces === null) return null;
  const { originMs, elapsed_s } = stored.view;
  for (let row = traces.rowAt(originMs); row < traces.end; row++) {
    const t = (traces.times[row] - originMs) / 1000;
    if (t > elapsed_s) return null;
    if (channels.some((c) => traces.qualities[c][row] <= Quality.uncertain && traces.values[c][row] >= level)) return t;
  }
  return null;
}

/** What the hottest of some channels read at a moment of its run, s; null where none has a reading. */
export function hottestAt(stored: StoredRun, channels: readonly number[], t: number): number | null {
  const { traces } = stored.store;
  const { originMs, elapsed_s } = stored.view;
  if (traces === null || t < 0 || t > elapsed_s) return null;
  return channels.reduce<number | null>((most, channel) => {
    const value = readingAt(traces, channel, originMs + t * 1000);
    return value === null || (most !== null && most >= value) ? most : value;
  }, null);
}

/** Least and greatest of bands from one moment to another, each moved by its offset; null where there is nothing. */
export function extentOf(
  bands: readonly (readonly Stretch[])[],
  from: number,
  to: number,
  offsets: readonly number[],
): { readonly min: number; readonly max: number } | null {
  let min = Number.POSITIVE_INFINITY;
  let max = Number.NEGATIVE_INFINITY;
  bands.forEach((band, i) => {
    for (const stretch of band)
      for (const point of stretch) {
        const t = point.t + offsets[i];
        if (t < from || t > to) continue;
        min = Math.min(min, point.low);
        max = Math.max(max, point.high);
      }
  });
  return min <= max ? { min, max } : null;
}

/** The point of a band at a moment; null in a gap and outside. */
export function pointAt(band: readonly Stretch[], t: number): BandPoint | null {
  for (const stretch of band) {
    const last = stretch[stretch.length - 1];
    if (last === undefined || t < stretch[0].t || t > last.t) continue;
    let low = 0;
    let high = stretch.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >>> 1;
      if (stretch[middle].t <= t) low = middle;
      else high = middle - 1;
    }
    return stretch[low];
  }
  return null;
}

/** Hottest of one run less hottest of the other, over the time of the first; broken where either has nothing. */
export function differenceOf(a: readonly Stretch[], b: readonly Stretch[], offset_s: number): Stretch[] {
  const found: BandPoint[][] = [];
  for (const stretch of a) {
    let open: BandPoint[] = [];
    for (const point of stretch) {
      const other = pointAt(b, point.t - offset_s);
      if (other === null) {
        if (open.length > 0) found.push(open);
        open = [];
        continue;
      }
      const difference = point.high - other.high;
      open.push({ t: point.t, low: difference, high: difference });
    }
    if (open.length > 0) found.push(open);
  }
  return found;
}

/** A figure of both runs, against the limits of the first. */
export interface PairedFigure {
  readonly a: FigureRow;
  readonly b: FigureRow;
  /** a less b; null where one has no value. */
  readonly difference: number | null;
  /** The same over the width of the window; 0 where it is not known, or within what the uncertainties leave open. */
  readonly weight: number;
  /** Below this both may be equal: their uncertainties together; null where none is known. */
  readonly u: number | null;
}

/** Figures that both runs have a limit for, the largest difference first. */
export function pairFigures(a: readonly FigureRow[], b: readonly FigureRow[]): PairedFigure[] {
  return a
    .flatMap((row): PairedFigure[] => {
      const other = b.find((candidate) => candidate.figure === row.figure);
      if (other === undefined) return [];
      const difference = row.value === null || other.value === null ? null : row.value - other.value;
      const u = row.U === null || other.U === null ? null : Math.hypot(row.U, other.U);
      const width =
        row.lower !== null && row.upper !== null ? row.upper - row.lower : Math.abs(row.upper ?? row.lower ?? 1);
      return [
        {
          a: row,
          b: other,
          difference,
          weight:
            difference === null || (u !== null && Math.abs(difference) <= u)
              ? 0
              : Math.abs(difference) / Math.max(width, 1e-9),
          u,
        },
      ];
    })
    .sort((x, y) => y.weight - x.weight);
}
