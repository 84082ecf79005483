import type { EnvelopeData } from "../state/envelope";

/** Least and greatest value drawn in columns `series` from `from_s` to `to_s`; null where nothing is drawn. */
export function extent(
  data: EnvelopeData,
  series: readonly number[],
  from_s: number,
  to_s: number,
): { readonly least: number; readonly greatest: number } | null {
  let least = Number.POSITIVE_INFINITY;
  let greatest = Number.NEGATIVE_INFINITY;
  for (let i = firstAt(data.x, from_s); i < data.x.length && data.x[i] <= to_s; i++)
    for (const s of series) {
      const value = data.y[s][i];
      if (value === null || value === undefined) continue;
      if (value < least) least = value;
      if (value > greatest) greatest = value;
    }
  return least <= greatest ? { least, greatest } : null;
}

/** First time at which any of the columns stands at or above a level; null when none did. s. */
export function firstReached(data: EnvelopeData, series: readonly number[], level: number): number | null {
  for (let i = 0; i < data.x.length; i++)
    for (const s of series) if ((data.y[s][i] ?? Number.NEGATIVE_INFINITY) >= level) return data.x[i];
  return null;
}

/** Newest point of a column at or before a time; null when nothing is drawn. */
export function lastPoint(
  data: EnvelopeData,
  series: number,
  until_s: number,
): { readonly x: number; readonly y: number } | null {
  for (let i = data.x.length - 1; i >= 0; i--) {
    const value = data.y[series][i];
    if (data.x[i] <= until_s && value !== null && value !== undefined) return { x: data.x[i], y: value };
  }
  return null;
}

function firstAt(x: readonly number[], at: number): number {
  let low = 0;
  let high = x.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (x[middle] < at) low = middle + 1;
    else high = middle;
  }
  return low;
}
