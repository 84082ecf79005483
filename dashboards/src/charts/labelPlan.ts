import { spreadLabels } from "../state/labels";
import type { Box } from "./geometry";

/** Where labels go: rows beside the ends of the curves, in one column or two. */
export interface LabelPlan {
  readonly side: "right" | "left";
  readonly columns: number;
  /** Left edge of the labels, px. */
  readonly left: number;
  /** Middle of each label, px, in the order asked for. */
  readonly heights: readonly number[];
}

export interface LabelAsk {
  /** Where the curves end, px. */
  readonly x: number;
  readonly ends: readonly number[];
  /** Width of one label and distance of rows, px. */
  readonly width: number;
  readonly gap: number;
  /** Columns that may be tried, best first. */
  readonly columns: readonly number[];
  readonly area: Box;
  /** Length of the hairlines between curve and label, px. */
  readonly leader: number;
  /** Least and greatest height (px) that curves take between two x; null where there is none. */
  readonly taken: (fromX: number, toX: number) => { readonly top: number; readonly bottom: number } | null;
}

/** Labels may stand this far into the margin beside the plot, px. */
const overhang = 20;

function stack(ask: LabelAsk, columns: number, top: number, bottom: number): number[] {
  if (columns === 1) return spreadLabels(ask.ends, ask.gap, top, bottom);
  // Several columns go by the order of the channels, as one block at the middle of the ends.
  const rows = Math.ceil(ask.ends.length / columns);
  const middle = ask.ends.reduce((sum, end) => sum + end, 0) / Math.max(1, ask.ends.length);
  const first = Math.min(
    Math.max(middle - ((rows - 1) * ask.gap) / 2, top),
    Math.max(top, bottom - (rows - 1) * ask.gap),
  );
  return ask.ends.map((_, i) => first + (i % rows) * ask.gap);
}

/**
 * Ahead of the curves nothing is drawn, so labels stand there at their own heights. Where the axis ends first, or at a
 * cursor amid the run, they go into the empty place above or below the curves that holds them.
 */
export function planLabels(ask: LabelAsk): LabelPlan {
  const { area, gap } = ask;
  const half = gap / 2;
  const top = area.top + half;
  const bottom = area.top + area.height - half;
  const edge = area.left + area.width + overhang;
  const tallness = (columns: number): number => Math.ceil(ask.ends.length / columns) * gap;
  let best: { readonly plan: LabelPlan; readonly room: number } | null = null;
  for (const side of ["right", "left"] as const)
    for (const columns of ask.columns) {
      const width = columns * ask.width;
      const left = side === "right" ? ask.x + ask.leader : Math.max(area.left + 4, ask.x - ask.leader - width);
      if (side === "right" && left + width > edge) continue;
      const taken = side === "right" ? ask.taken(ask.x + 1, left + width) : ask.taken(left, ask.x);
      if (taken === null && tallness(columns) <= area.height + gap)
        return { side, columns, left, heights: stack(ask, columns, top, bottom) };
      const { top: takenTop, bottom: takenBottom } = taken ?? { top: bottom, bottom: area.top };
      for (const [from, to] of [
        [Math.min(takenBottom + 6, bottom), area.top + area.height],
        [area.top, Math.max(takenTop - 6, top)],
      ]) {
        const room = to - from - tallness(columns);
        if (best !== null && (best.room >= 0 || room <= best.room)) continue;
        // Where no place holds them all they cover what is there rather than leave the plot.
        const start = Math.max(top, Math.min(from + half, bottom - tallness(columns) + gap));
        best = { plan: { side, columns, left, heights: stack(ask, columns, start, Math.max(start, to - half)) }, room };
      }
    }
  return best?.plan ?? { side: "right", columns: 1, left: ask.x + ask.leader, heights: stack(ask, 1, top, bottom) };
}
