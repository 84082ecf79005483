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

/** Least distance of two slots, s: x must rise strictly. */
const leastStep_s = 1e-6;

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
  /** Whether a hole has begun after it. */
  const broken = channels.map(() => false);

  const reset = (): void => {
    generation = traces.generation;
    nextRow = traces.rowAt(fromMs);
    column = Number.NEGATIVE_INFINITY;
    data.x.length = 0;
    for (const y of data.y) y.length = 0;
    lastValue.fill(-1);
    broken.fill(false);
  };
  const read = (channel: number, row: number): Drawn => {
    const quality = traces.qualities[channel][row];
    if (quality === Quality.absent) return undefined;
    if (quality === Quality.bad) return null;
    const value = traces.values[channel][row];
    return transform === undefined ? value : transform(value);
  };
  /**
   * Nulls from the last value up to a slot. The chart leaves out what lies between a null and its neighbours only, so
   * a hole must fill every slot in which other channels have points.
   */
  const fillHole = (i: number, before: number): void => {
    for (let at = lastValue[i] + 1; at < before; at++) data.y[i][at] = null;
    broken[i] = false;
  };
  const seconds = (row: number): number => (traces.times[row] - originMs) / 1000;
  const addSlot = (at_s: number): void => {
    const last = data.x.at(-1);
    data.x.push(last === undefined ? at_s : Math.max(at_s, last + leastStep_s));
    for (const y of data.y) y.push(undefined);
  };
  const addRow = (row: number): void => {
    addSlot(seconds(row));
    const at = data.x.length - 1;
    for (let i = 0; i < channels.length; i++) {
      const value = read(channels[i], row);
      data.y[i][at] = value;
      if (value === null) broken[i] = true;
      if (value === null || value === undefined) continue;
      if (broken[i]) fillHole(i, at);
      lastValue[i] = at;
    }
  };
  const merge = (i: number, value: number, at: number): void => {
    const y = data.y[i];
    if (lastValue[i] < at) {
      if (broken[i]) fillHole(i, at);
      lastValue[i] = at + 1;
      y[at] = value;
      y[at + 1] = value;
      leastFirst[i] = true;
      return;
    }
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
  };
  const intoColumn = (row: number): void => {
    let any = false;
    let hole = false;
    for (let i = 0; i < channels.length; i++) {
      const value = read(channels[i], row);
      if (value === null) broken[i] = true;
      else if (value !== undefined) {
        any = true;
        hole ||= broken[i] && lastValue[i] === data.x.length - 1;
      }
    }
    if (!any) return;
    // A channel is back whose last value has the newest slot: between the two there must be one for the hole.
    if (hole) addSlot(seconds(row));
    const number = Math.floor((traces.times[row] - fromMs) / columnMs);
    if (hole || number !== column) {
      column = number;
      addSlot(seconds(row));
      addSlot(seconds(row));
    }
    const at = data.x.length - 2;
    data.x[at + 1] = Math.max(data.x[at] + leastStep_s, seconds(row));
    for (let i = 0; i < channels.length; i++) {
      const value = read(channels[i], row);
      if (value !== null && value !== undefined) merge(i, value, at);
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
        intoColumn(nextRow);
      }
    },
  };
}
