import type { FigureLive } from "../feed/contract";
import type { LimitLayout } from "../feed/layoutContract";

/** How a figure stands against its limits, for the eye. */
export type Standing =
  /** No value, and none is due yet. */
  | "notYet"
  /** No value, and there will be none. */
  | "unknown"
  /** Can still change and is not yet at its lower limit. */
  | "counting"
  | "inside"
  | "outside"
  | "undetermined";

/** One window bar: a figure with its limits, at the channel that decides. */
export interface FigureRow {
  /** Stable while the page lives. */
  readonly key: string;
  readonly figure: string;
  readonly unit: string;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly severity: "fail" | "warn";
  /** Channel that decides; null for the chamber or when nothing is known yet. */
  readonly channel: string | null;
  readonly value: number | null;
  /** Expanded uncertainty of the value; null if not known. */
  readonly U: number | null;
  readonly low: number | null;
  readonly high: number | null;
  readonly reason: string | null;
  readonly final: boolean;
  readonly standing: Standing;
  /** Distance to the nearer limit over the width of the window; negative outside; null without a value. */
  readonly room: number | null;
}

/** Order of the bars: as the run meets them. What is not listed comes last, by name. */
const order = [
  "soakTime", "preheatRate", "heatingRate", "steepestHeating", "slopeAtLiquidus", "rampUpRate", "soakEndSpread",
  "greatestSpread", "peakTemperature", "sustainedPeak", "peakSpread", "liquidusSpread", "timeToPeak",
  "timeAboveLiquidus", "longestAboveLiquidus", "timeNearPeak", "heatAboveLiquidus", "pumpDownTime", "lowestPressure",
  "vacuumHold", "steepestEvacuation", "moltenToEvacuation", "peakToEvacuation", "moltenAtEvacuation", "moltenVacuum",
  "ventTime", "steepestVent", "moltenAtVentEnd", "voidExpansion", "evacuations", "coolingRate", "rampDownRate",
  "steepestCooling", "cycleTime",
]; // biome-ignore format: a list is easier to scan in few lines

/** Place of a figure in that order. */
export const rank = (figure: string): number => {
  const at = order.indexOf(figure);
  return at < 0 ? order.length : at;
};

/** Whether the least that a figure can be already breaks its upper limit. */
const isBeyond = (figure: FigureLive): boolean =>
  figure.low !== null && figure.upper !== null && figure.low > figure.upper;

/** Figures that only grow while they count: below the lower limit they are on their way, not outside. */
function standing(figure: FigureLive): Standing {
  const { value, lower, upper, final } = figure;
  if (value === null) {
    // Whatever a gap may hide, a bound beyond the limit has broken it.
    if (figure.verdict === "fail" || isBeyond(figure)) return "outside";
    if (!final) return "notYet";
    return figure.verdict === "pass" ? "inside" : "unknown";
  }
  // A sum that has not begun to grow says nothing yet.
  if (value === 0 && !final && figure.unit === "s") return "notYet";
  if (figure.verdict === "undetermined") return "undetermined";
  if (figure.verdict === "fail" || (upper !== null && value > upper)) return "outside";
  if (lower !== null && value < lower) return final ? "outside" : "counting";
  return "inside";
}

/** Width that makes distances of different figures comparable. */
function windowWidth(lower: number | null, upper: number | null): number {
  if (lower !== null && upper !== null) return Math.max(upper - lower, 1e-9);
  return Math.max(Math.abs(upper ?? lower ?? 1), 1e-9);
}

function room(figure: FigureLive): number | null {
  const { lower, upper } = figure;
  const value = figure.value ?? (isBeyond(figure) ? figure.low : null);
  if (value === null) return null;
  const toUpper = upper === null ? Number.POSITIVE_INFINITY : upper - value;
  // While it counts, the lower limit is not yet a danger.
  const toLower = lower === null || (!figure.final && value < lower) ? Number.POSITIVE_INFINITY : value - lower;
  const least = Math.min(toUpper, toLower);
  return Number.isFinite(least) ? least / windowWidth(lower, upper) : null;
}

const urgency: Record<Standing, number> = {
  outside: 0,
  undetermined: 1,
  unknown: 2,
  inside: 3,
  counting: 4,
  notYet: 5,
};

/** Whether `a` decides over `b`, both of one figure with the same limits. */
function decides(a: FigureRow, b: FigureRow): boolean {
  if (urgency[a.standing] !== urgency[b.standing]) return urgency[a.standing] < urgency[b.standing];
  // Counting towards a lower limit: the one that is furthest from it decides.
  if (a.standing === "counting" && a.value !== null && b.value !== null) return a.value < b.value;
  return (a.room ?? Number.POSITIVE_INFINITY) < (b.room ?? Number.POSITIVE_INFINITY);
}

/** One figure of one channel as a bar shows it. */
export function figureRow(figure: FigureLive): FigureRow {
  return {
    key: `${figure.figure}/${figure.lower ?? ""}/${figure.upper ?? ""}`,
    figure: figure.figure,
    unit: figure.unit,
    lower: figure.lower,
    upper: figure.upper,
    severity: figure.severity ?? "fail",
    // Before there is a value no channel decides.
    channel: standing(figure) === "notYet" ? null : (figure.channel ?? figure.decidedBy),
    value: standing(figure) === "notYet" ? null : figure.value,
    U: standing(figure) === "notYet" ? null : figure.U,
    low: figure.low,
    high: figure.high,
    reason: figure.reason,
    final: figure.final,
    standing: standing(figure),
    room: standing(figure) === "notYet" ? null : room(figure),
  };
}

/** One row for each figure that has a limit, at the channel that decides it, in the order of the run. */
export function figureRows(figures: readonly FigureLive[], limits: readonly LimitLayout[] = []): FigureRow[] {
  const rows = new Map<string, FigureRow>();
  for (const figure of figures) {
    if (figure.lower === null && figure.upper === null) continue;
    const row = figureRow(figure);
    const present = rows.get(row.key);
    if (present === undefined || decides(row, present)) rows.set(row.key, row);
  }
  for (const limit of limits) {
    const key = `${limit.figure}/${limit.lower ?? ""}/${limit.upper ?? ""}`;
    // Before the engine says anything of a figure, its limits are known all the same.
    if (rows.has(key) || [...rows.values()].some((row) => row.figure === limit.figure)) continue;
    rows.set(key, {
      ...emptyRow,
      key,
      figure: limit.figure,
      lower: limit.lower,
      upper: limit.upper,
      severity: limit.severity,
    });
  }
  return [...rows.values()].sort((a, b) => rank(a.figure) - rank(b.figure) || a.key.localeCompare(b.key));
}

const emptyRow: Omit<FigureRow, "key" | "figure" | "lower" | "upper" | "severity"> = {
  unit: "",
  channel: null,
  value: null,
  U: null,
  low: null,
  high: null,
  reason: null,
  final: false,
  standing: "notYet",
  room: null,
};

/** The rows with the least room, tightest first; those without a value last. */
export function tightest(rows: readonly FigureRow[]): FigureRow[] {
  const key = (row: FigureRow): number =>
    row.standing === "outside" ? -10 + (row.room ?? 0) : row.standing === "unknown" ? -1 : (row.room ?? 100);
  return rows
    .map((row, index) => ({ row, index }))
    .sort((a, b) => key(a.row) - key(b.row) || a.index - b.index)
    .map((entry) => entry.row);
}

/**
 * The product channel that decides now: that of the tightest figure that can still change, else the hottest.
 * The one that decided before keeps deciding unless another is clearly tighter, or noise would swap bold lines.
 */
export function decidingChannel(
  rows: readonly FigureRow[],
  product: ReadonlySet<string>,
  hottest: string | null,
  before: string | null,
): string | null {
  const open = rows.filter(
    (row) => !row.final && row.room !== null && row.channel !== null && product.has(row.channel),
  );
  const first = tightest(open).at(0);
  if (first === undefined || first.channel === null) return before !== null && product.has(before) ? before : hottest;
  const held = open.find((row) => row.channel === before && (row.room ?? 1) - (first.room ?? 1) < 0.05);
  return held === undefined ? first.channel : before;
}
