import { Quality } from "../feed/frames";
import type { Traces } from "./traces";

/**
 * One channel of a run in a few columns: the last judged reading in each, null where there was none, so that an outage
 * stays a hole however small the drawing.
 */
export function tileShape(
  traces: Traces,
  channel: number,
  originMs: number,
  columnMs: number,
  untilMs: number,
): (number | null)[] {
  const columns: (number | null)[] = [];
  const values = traces.values[channel];
  const qualities = traces.qualities[channel];
  for (let row = traces.rowAt(originMs); row < traces.end && traces.times[row] <= untilMs; row++) {
    if (qualities[row] > Quality.uncertain) continue;
    const column = Math.floor((traces.times[row] - originMs) / columnMs);
    while (columns.length < column) columns.push(null);
    columns[column] = values[row];
  }
  return columns;
}
