import { Quality } from "../feed/frames";
import type { Traces } from "./traces";

/** A value to draw, `null` where the line must break, `undefined` where another channel has a point and this one has none. */
export type Drawn = number | null | undefined;

/** What a chart draws: seconds from the run's start, and a column of values for each channel asked for. */
export interface EnvelopeData {
  readonly x: number[];
  readonly y: Drawn[][];
}

/**
 * Least and greatest reading of each channel in each pixel column, kept up as readings come.
 *
 * A spike of a single sample is the least or the greatest of its column, so it is drawn at any zoom; a column that
 * holds a gap ends in a null, so a gap is not bridged however many minutes one pixel spans. Only the newest column is
 * worked on when a reading comes.
 */
export interface Envelope {
  readonly data: EnvelopeData;
  /** Draw from here on: rows of [fromMs, untilMs], zero seconds at `originMs`, columns of `columnMs` (0: every row as it is). */
  aim(originMs: number, fromMs: number, untilMs: number, columnMs: number): void;
  /** Takes in the rows that came since. */
  update(): void;
}

/** Of a column: a hole before its values, the two extremes in the order they came, a hole after. */
const slots = 4;

export function createEnvelope(
  traces: Traces,
  channels: readonly number[],
  transform?: (value: number) => number | null,
): Envelope {
  let originMs = 0;
  let fromMs = 0;
  let untilMs = Number.POSITIVE_INFINITY;
  let columnMs = 0;
  let generation = -1;
  let nextRow = 0;
  let column = Number.NEGATIVE_INFINITY;
  const data: { x: number[]; y: Drawn[][] } = { x: [], y: channels.map(() => []) };
  /** Of the newest column: whether the first of the two values kept is the least. */
  const leastFirst = channels.map(() => true);
  /** Newest slot of each column that holds a value; -1 before the first. */
  const lastValue = channels.map(() => -1);

  const reset = (): void => {
    generation = traces.generation;
    nextRow = traces.rowAt(fromMs);
    column = Number.NEGATIVE_INFINITY;
    data.x.length = 0;
    for (const y of data.y) y.length = 0;
    lastValue.fill(-1);
  };
  const read = (channel: number, row: number): Drawn => {
    const quality = traces.qualities[channel][row];
    if (quality === Quality.absent) return undefined;
    if (quality === Quality.bad) return null;
    const value = traces.values[channel][row];
    return transform === undefined ? value : transform(value);
  };
  /** A hole from the last value up to a slot: what lies between has no points of this channel, and is no line either. */
  const breakUpTo = (i: number, slot: number): void => {
    for (let at = lastValue[i] + 1; at <= slot; at++) data.y[i][at] = null;
  };
  const addRow = (row: number): void => {
    const at = data.x.length;
    data.x.push((traces.times[row] - originMs) / 1000);
    for (let i = 0; i < channels.length; i++) {
      const value = read(channels[i], row);
      data.y[i].push(value);
      if (value === null) breakUpTo(i, at);
      else if (value !== undefined) lastValue[i] = at;
    }
  };
  const openColumn = (number: number): void => {
    column = number;
    const start = fromMs + number * columnMs - originMs;
    for (let slot = 0; slot < slots; slot++) data.x.push((start + (columnMs * (slot + 0.5)) / slots) / 1000);
    for (const y of data.y) y.push(undefined, undefined, undefined, undefined);
  };
  const intoColumn = (row: number): void => {
    const column = data.x.length - slots;
    const at = column + 1;
    for (let i = 0; i < channels.length; i++) {
      const value = read(channels[i], row);
      const y = data.y[i];
      if (value === undefined) continue;
      if (value === null) {
        breakUpTo(i, lastValue[i] < column ? column : column + 3);
      } else if (lastValue[i] < column) {
        lastValue[i] = at + 1;
        y[at] = value;
        y[at + 1] = value;
        leastFirst[i] = true;
      } else {
        const least = (leastFirst[i] ? y[at] : y[at + 1]) as number;
        const greatest = (leastFirst[i] ? y[at + 1] : y[at]) as number;
        // The newer extreme comes second, so that the line leaves the column on the side it left it in truth.
        if (value < least) {
          y[at] = greatest;
          y[at + 1] = value;
          leastFirst[i] = false;
        } else if (value > greatest) {
          y[at] = least;
          y[at + 1] = value;
          leastFirst[i] = true;
        }
      }
    }
  };

  return {
    data,
    aim(origin, from, until, width) {
      if (origin === originMs && from === fromMs && until === untilMs && width === columnMs) return;
      originMs = origin;
      fromMs = from;
      untilMs = until;
      columnMs = width;
      generation = -1;
    },
    update() {
      if (generation !== traces.generation) reset();
      if (nextRow < traces.first) nextRow = traces.first;
      for (; nextRow < traces.end && traces.times[nextRow] <= untilMs; nextRow++) {
        if (columnMs === 0) {
          addRow(nextRow);
          continue;
        }
        const number = Math.floor((traces.times[nextRow] - fromMs) / columnMs);
        if (number !== column) openColumn(number);
        intoColumn(nextRow);
      }
    },
  };
}
