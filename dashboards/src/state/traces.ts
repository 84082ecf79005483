import { Quality, type Scan } from "../feed/frames";

/** A reading that later ones showed to be none to judge by: drawn with its value, and marked. */
export interface Mark {
  /** A single reading far from both its neighbours, or one of a thermocouple that had come off; `other`: of a kind not known here. */
  readonly kind: "spike" | "detached" | "other";
  readonly channel: number;
  readonly t: number;
  readonly value: number;
}

/**
 * The newest readings of all channels of a cell, one row a scan, times strictly rising.
 *
 * Rows lie one after another in typed arrays of twice the capacity; when they are full the newest half moves to the
 * front, so a window of rows is always one contiguous stretch and appending costs constant time on average.
 */
export interface Traces {
  readonly channels: number;
  /** For each channel: readings further apart than this are not joined. */
  readonly gapMs: readonly number[];
  /** Rows that may be read: from `first` (included) to `end` (excluded). */
  readonly first: number;
  readonly end: number;
  /** Changes whenever row numbers change their meaning: rows were inserted, moved or forgotten. */
  readonly generation: number;
  readonly times: Float64Array;
  readonly values: readonly Float32Array[];
  readonly qualities: readonly Uint8Array[];
  readonly lastSeq: number;
  readonly lastTime: number;
  /** For each channel its newest judged value (NaN: none yet), when that was, and what its newest reading was worth. */
  readonly latestValue: Float32Array;
  readonly latestTime: Float64Array;
  readonly latestQuality: Uint8Array;
  /** Adds a scan; false (and nothing changes) when it is not newer than the last row. */
  append(scan: Scan): boolean;
  /** Marked readings, in the order in which that became known. */
  readonly marks: readonly Mark[];
  /**
   * Marks the reading of a channel at a time (ms); false when there is none, or it is marked already.
   * @param quality as in files: uncertain:spike
   */
  mark(channel: number, t: number, quality: string): boolean;
  /** Forgets the rows after a sequence number, so that what was missed among them can be put in its place. */
  rewind(seq: number): void;
  /** Row of the first reading at or after a time (ms); `end` when there is none. */
  rowAt(timeMs: number): number;
  clear(): void;
}

const kindOf = (quality: string): Mark["kind"] =>
  (["spike", "detached"] as const).find((kind) => quality === `uncertain:${kind}`) ?? "other";

/**
 * @param capacity rows kept at least
 * @param gapMs for each channel: readings further apart than this are not joined by a line
 */
export function createTraces(capacity: number, gapMs: readonly number[]): Traces {
  const channels = gapMs.length;
  const size = capacity * 2;
  const times = new Float64Array(size);
  /** Number of the scan behind each row; a hole carries that of the row before it. */
  const seqs = new Float64Array(size);
  const values = gapMs.map(() => new Float32Array(size));
  const qualities = gapMs.map(() => new Uint8Array(size));
  const lastReading = new Float64Array(channels).fill(Number.NEGATIVE_INFINITY);
  const latestValue = new Float32Array(channels).fill(Number.NaN);
  const latestTime = new Float64Array(channels).fill(Number.NEGATIVE_INFINITY);
  const latestQuality = new Uint8Array(channels).fill(Quality.absent);
  let marks: Mark[] = [];
  let first = 0;
  let end = 0;
  let generation = 0;
  let lastSeq = -1;

  const makeRoom = (): void => {
    if (end < size) {
      if (end - first > capacity) first = end - capacity;
      return;
    }
    const from = end - capacity + 1;
    times.copyWithin(0, from, end);
    seqs.copyWithin(0, from, end);
    for (const column of values) column.copyWithin(0, from, end);
    for (const column of qualities) column.copyWithin(0, from, end);
    end -= from;
    first = 0;
    generation++;
  };
  const addRow = (timeMs: number, seq: number): number => {
    makeRoom();
    times[end] = timeMs;
    seqs[end] = seq;
    return end++;
  };
  /** A row without any reading, whose channels are all absent until said otherwise. */
  const addHole = (timeMs: number): number => {
    const row = addRow(timeMs, lastSeq);
    for (let c = 0; c < channels; c++) {
      values[c][row] = Number.NaN;
      qualities[c][row] = Quality.absent;
    }
    return row;
  };

  const rowAt = (timeMs: number): number => {
    let low = first;
    let high = end;
    while (low < high) {
      const middle = (low + high) >>> 1;
      if (times[middle] < timeMs) low = middle + 1;
      else high = middle;
    }
    return low;
  };

  return {
    channels,
    gapMs,
    times,
    values,
    qualities,
    latestValue,
    latestTime,
    latestQuality,
    get marks() {
      return marks;
    },
    get first() {
      return first;
    },
    get end() {
      return end;
    },
    get generation() {
      return generation;
    },
    get lastSeq() {
      return lastSeq;
    },
    get lastTime() {
      return end > first ? times[end - 1] : Number.NEGATIVE_INFINITY;
    },
    append(scan) {
      if (scan.seq <= lastSeq || (end > first && scan.t <= times[end - 1])) return false;
      let hole = -1;
      for (let c = 0; c < channels; c++) {
        if (scan.qualities[c] === Quality.absent || scan.t - lastReading[c] <= gapMs[c]) continue;
        if (lastReading[c] === Number.NEGATIVE_INFINITY) continue;
        // The channel was silent for longer than a gap: a null just before its new reading breaks the line.
        if (hole < 0) {
          const lastRow = times[end - 1];
          hole = addHole(lastRow + (scan.t - lastRow) / 2);
        }
        qualities[c][hole] = Quality.bad;
      }
      const row = addRow(scan.t, scan.seq);
      for (let c = 0; c < channels; c++) {
        values[c][row] = scan.qualities[c] <= Quality.uncertain ? scan.values[c] : Number.NaN;
        qualities[c][row] = scan.qualities[c];
        if (scan.qualities[c] === Quality.absent) continue;
        lastReading[c] = scan.t;
        latestQuality[c] = scan.qualities[c];
        if (scan.qualities[c] === Quality.bad) continue;
        latestValue[c] = scan.values[c];
        latestTime[c] = scan.t;
      }
      lastSeq = scan.seq;
      return true;
    },
    mark(channel, t, quality) {
      const row = rowAt(t);
      if (row >= end || times[row] !== t || qualities[channel][row] > Quality.uncertain) return false;
      if (marks.some((mark) => mark.channel === channel && mark.t === t)) return false;
      qualities[channel][row] = Quality.uncertain;
      // Those whose rows have gone go with them.
      marks = marks.filter((mark) => mark.t >= times[first]);
      marks.push({ kind: kindOf(quality), channel, t, value: values[channel][row] });
      return true;
    },
    rewind(seq) {
      if (seq >= lastSeq) return;
      while (end > first && seqs[end - 1] > seq) end--;
      marks = marks.filter((mark) => end > first && mark.t <= times[end - 1]);
      lastSeq = end > first ? seqs[end - 1] : -1;
      generation++;
      for (let c = 0; c < channels; c++) {
        let row = end - 1;
        while (row >= first && qualities[c][row] === Quality.absent) row--;
        lastReading[c] = row >= first ? times[row] : Number.NEGATIVE_INFINITY;
      }
    },
    rowAt,
    clear() {
      first = 0;
      end = 0;
      marks = [];
      lastSeq = -1;
      lastReading.fill(Number.NEGATIVE_INFINITY);
      latestValue.fill(Number.NaN);
      latestTime.fill(Number.NEGATIVE_INFINITY);
      latestQuality.fill(Quality.absent);
      generation++;
    },
  };
}

/** The last reading of a channel at or before a moment, unless a hole lies between or it is older than the channel's gap. */
export function readingAt(traces: Traces, channel: number, atMs: number): number | null {
  for (let row = traces.rowAt(atMs + 0.001) - 1; row >= traces.first; row--) {
    if (atMs - traces.times[row] > traces.gapMs[channel]) return null;
    const quality = traces.qualities[channel][row];
    if (quality === Quality.absent) continue;
    return quality === Quality.bad ? null : traces.values[channel][row];
  }
  return null;
}
