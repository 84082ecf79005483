/** A closer look at a run: which stretch is shown, where the cursor stands, from where is measured. Seconds in the run. */
export interface Inspect {
  /** The stretch shown; null: the whole run. */
  readonly window: { readonly from_s: number; readonly to_s: number } | null;
  readonly cursor_s: number | null;
  /** Where a measurement begins; null: none is taken. */
  readonly mark_s: number | null;
  /** The cursor stays where it was put. */
  readonly pinned: boolean;
  /** Where time was held; null: it goes on. */
  readonly frozen_s: number | null;
}

export const noInspect: Inspect = { window: null, cursor_s: null, mark_s: null, pinned: false, frozen_s: null };

/** Shortest stretch that can be shown: a second holds ten readings at the usual rate. */
const shortest_s = 1;

/** Shows another stretch of a run of `length_s`; the whole of it, or more, is no zoom any more. */
export function show(inspect: Inspect, from_s: number, to_s: number, length_s: number): Inspect {
  const width = Math.max(shortest_s, to_s - from_s);
  if (width >= length_s) return { ...inspect, window: null };
  const from = Math.min(Math.max(from_s, 0), length_s - width);
  return { ...inspect, window: { from_s: from, to_s: from + width } };
}

/** Zooms by a factor (below 1: closer) around a moment, which keeps its place. */
export function zoom(inspect: Inspect, factor: number, at_s: number, length_s: number): Inspect {
  const { from_s, to_s } = inspect.window ?? { from_s: 0, to_s: length_s };
  const width = Math.max(shortest_s, (to_s - from_s) * factor);
  const part = (at_s - from_s) / (to_s - from_s);
  return show(inspect, at_s - part * width, at_s - part * width + width, length_s);
}

/** Moves the stretch by a part of its width. */
export function pan(inspect: Inspect, part: number, length_s: number): Inspect {
  if (inspect.window === null) return inspect;
  const { from_s, to_s } = inspect.window;
  const by = (to_s - from_s) * part;
  return show(inspect, from_s + by, to_s + by, length_s);
}

/** Moves the cursor to a moment; a stretch that does not hold it goes along. */
export function walk(inspect: Inspect, at_s: number, length_s: number): Inspect {
  const { window } = inspect;
  const by = window === null ? 0 : Math.min(0, at_s - window.from_s) + Math.max(0, at_s - window.to_s);
  const moved = window === null || by === 0 ? inspect : show(inspect, window.from_s + by, window.to_s + by, length_s);
  return point(moved, at_s, length_s);
}

/** Puts the cursor somewhere in the stretch that is shown. */
export function point(inspect: Inspect, at_s: number, length_s: number): Inspect {
  const { from_s, to_s } = inspect.window ?? { from_s: 0, to_s: length_s };
  return { ...inspect, cursor_s: Math.min(Math.max(at_s, from_s), to_s) };
}

/** What lies between mark and cursor of one channel. */
export interface Measure {
  readonly span_s: number;
  readonly difference: number | null;
  /** Per second; null for no time or without both values. */
  readonly slope: number | null;
}

export function measure(mark_s: number, cursor_s: number, atMark: number | null, atCursor: number | null): Measure {
  const span_s = cursor_s - mark_s;
  const difference = atMark === null || atCursor === null ? null : atCursor - atMark;
  return { span_s, difference, slope: difference === null || span_s === 0 ? null : difference / span_s };
}
