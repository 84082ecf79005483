import type { Papers } from "../feed/papers";
import type { Records, RunDetail, RunShape } from "../feed/records";
import type { Stretch } from "./overlay";

/** Where released runs of the same spec and load went: coolest and hottest board of all of them, over the time of one run. */
export interface Corridor {
  readonly runs: number;
  readonly stretches: readonly Stretch[];
}

/** A released run as a corridor needs it. */
export interface Reference {
  readonly shape: RunShape;
  /** Added to its times, s. */
  readonly offset_s: number;
}

/** With fewer released runs than this there is no corridor: a few runs say little of where good ones go. */
export const fewestRuns = 5;
const mostRuns = 24;
const step_s = 1;

/** When the hottest of a shape first reached a level, s; null: never. */
export function reached(shape: RunShape, level: number): number | null {
  const column = shape.high.findIndex((value) => value !== null && value >= level);
  return column < 0 ? null : ((column + 0.5) / shape.high.length) * shape.length_s;
}

/** Least and greatest of released runs, wherever at least as many as are needed have readings. */
export function corridorOf(references: readonly Reference[]): Corridor | null {
  if (references.length < fewestRuns) return null;
  const end_s = Math.max(...references.map(({ shape, offset_s }) => shape.length_s + offset_s));
  const start_s = Math.min(...references.map(({ offset_s }) => offset_s));
  const stretches: { t: number; low: number; high: number }[][] = [];
  let open = false;
  for (let t = start_s; t <= end_s; t += step_s) {
    let [low, high, found] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 0];
    for (const { shape, offset_s } of references) {
      const column = Math.floor(((t - offset_s) / shape.length_s) * shape.high.length);
      const [least, greatest] = [shape.low[column] ?? null, shape.high[column] ?? null];
      if (least === null || greatest === null) continue;
      low = Math.min(low, least);
      high = Math.max(high, greatest);
      found++;
    }
    if (found < fewestRuns) {
      open = false;
      continue;
    }
    if (!open) stretches.push([]);
    open = true;
    stretches[stretches.length - 1].push({ t, low, high });
  }
  return stretches.length === 0 ? null : { runs: references.length, stretches };
}

/** Shapes of the released runs that a run may be held against: the same spec, version and load, boards measured. */
export async function referencesFor(
  run: RunDetail["run"],
  papers: Papers,
  records: Records,
  signal: AbortSignal,
): Promise<readonly RunShape[]> {
  const released = (await papers.references(run.cell, signal)).filter((number) => number !== run.number);
  const found = await Promise.all(
    released.slice(-mostRuns).map(async (number) => {
      const { run: other } = await records.run(run.cell, number, signal);
      const alike =
        other.spec?.name === run.spec?.name && other.spec?.version === run.spec?.version && other.load === run.load;
      return alike ? records.shape(other, signal) : null;
    }),
  );
  return found.filter((shape) => shape !== null).filter((shape) => shape.of === "product");
}
