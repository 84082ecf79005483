import { spreadLabels } from "../state/labels";
import type { Box } from "./geometry";

/** Where labels go: a column of rows beside the ends of the curves. */
export interface LabelColumn {
  readonly side: "right" | "left";
  /** Left edge of the labels' column, px. */
  readonly left: number;
  /** Middle of each label, px, in the order asked for. */
  readonly heights: readonly number[];
}

export interface LabelAsk {
  /** Where the curves end, px. */
  readonly x: number;
  readonly ends: readonly number[];
  /** Room of the labels: width of the widest and distance of rows, px. */
  readonly width: number;
  readonly gap: number;
  readonly area: Box;
  /** Length of the hairlines between curve and label, px. */
  readonly leader: number;
  /** Least and greatest height (px) that curves take between two x, to keep labels off them; null where there is none. */
  readonly taken: (fromX: number, toX: number) => { readonly top: number; readonly bottom: number } | null;
}

/**
 * Ahead of the curves nothing is drawn, so labels stand there at their own heights. Where the axis ends first they
 * go behind, into whichever is larger of the empty places above and below the curves.
 */
export function planLabels(ask: LabelAsk): LabelColumn {
  const { area, gap } = ask;
  const half = gap / 2;
  const top = area.top + half;
  const bottom = area.top + area.height - half;
  const right = ask.x + ask.leader;
  if (right + ask.width <= area.left + area.width + 20)
    return { side: "right", left: right, heights: spreadLabels(ask.ends, gap, top, bottom) };
  const left = Math.max(area.left + 4, ask.x - ask.leader - ask.width);
  const taken = ask.taken(left, ask.x);
  if (taken === null) return { side: "left", left, heights: spreadLabels(ask.ends, gap, top, bottom) };
  const above = taken.top - area.top;
  const below = area.top + area.height - taken.bottom;
  return below >= above || below >= ask.ends.length * gap + 12
    ? { side: "left", left, heights: spreadLabels(ask.ends, gap, Math.min(taken.bottom + half + 6, bottom), bottom) }
    : { side: "left", left, heights: spreadLabels(ask.ends, gap, top, Math.max(top, taken.top - half - 6)) };
}
