import type { RunLive } from "../feed/contract";
import type { SpecLayout } from "../feed/layoutContract";

/** Stretch of the liquidus line through which the curves must fall, s from the run's start. */
export interface Gate {
  readonly level: number;
  readonly from_s: number | null;
  readonly to_s: number | null;
  /** The limits themselves, s above the level. */
  readonly lower: number | null;
  readonly upper: number | null;
}

/**
 * The gate of a run that has ended, laid from where its channels rose through the level: the curves fell through it, or
 * they did not.
 * @param crossings when each product channel first reached the level, s from the run's start; those that never did are left out
 */
export function endedGate(spec: SpecLayout, crossings: readonly number[]): Gate | null {
  const limits = spec.limits.filter((limit) => limit.figure === "timeAboveLiquidus");
  const bounds = (side: "lower" | "upper"): number[] => limits.flatMap((limit) => limit[side] ?? []);
  if (crossings.length === 0 || limits.length === 0) return null;
  const lower = bounds("lower").length === 0 ? null : Math.max(...bounds("lower"));
  const upper = bounds("upper").length === 0 ? null : Math.min(...bounds("upper"));
  return {
    level: limits[0].level ?? spec.liquidus,
    lower,
    upper,
    from_s: lower === null ? Math.max(...crossings) : Math.max(...crossings) + lower,
    to_s: upper === null ? null : Math.min(...crossings) + upper,
  };
}

/**
 * The gate of a run that is above liquidus: not before the last channel has had its least time, not after the first
 * has had its most. It is placed by the engine's own figures, so it agrees with the verdict to come; once the curves
 * have fallen it stays where it was.
 * @param at_s moment for which the figures are true, s from the run's start
 */
export function gateOf(run: RunLive, spec: SpecLayout, at_s: number, before: Gate | null): Gate | null {
  const counting = run.figures.filter(
    (figure) =>
      figure.figure === "timeAboveLiquidus" &&
      figure.channel !== null &&
      !figure.final &&
      (figure.value ?? 0) > 0 &&
      (figure.lower !== null || figure.upper !== null),
  );
  if (counting.length === 0) return before;
  const lower = counting.find((figure) => figure.lower !== null)?.lower ?? null;
  const upper = counting.find((figure) => figure.upper !== null)?.upper ?? null;
  const values = counting.map((figure) => figure.value as number);
  return {
    level: spec.limits.find((limit) => limit.figure === "timeAboveLiquidus")?.level ?? spec.liquidus,
    lower,
    upper,
    from_s: lower === null ? at_s : at_s + lower - Math.min(...values),
    to_s: upper === null ? null : at_s + upper - Math.max(...values),
  };
}
