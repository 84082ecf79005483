import type { Ask } from "./records";

/** How well a cell's alarms serve, by the history of a span; shares from 0 to 1. */
export interface AlarmQuality {
  readonly from: string;
  readonly to: string;
  readonly told: number;
  readonly perTenMinutes: number;
  readonly mostInTenMinutes: number;
  readonly floodShare: number;
  readonly chattering: readonly string[];
  readonly fleeting: number;
  readonly stale: readonly string[];
  readonly mostFrequent: readonly { readonly alarmId: string; readonly told: number; readonly share: number }[];
  readonly topTenShare: number;
  readonly medianToAcknowledge_s: number | null;
  readonly ninetyPercentToAcknowledge_s: number | null;
  readonly neverAcknowledged: number;
  readonly priorities: { readonly high: number; readonly medium: number; readonly low: number };
}

export type QualitySpan = "day" | "week" | "month";
export const qualitySpans: readonly QualitySpan[] = ["day", "week", "month"];
const days: Record<QualitySpan, number> = { day: 1, week: 7, month: 30 };

/** Measures the span that ends now. @param nowMs time of the day, ms since 1970 */
export const askQuality = (
  ask: Ask,
  cell: number,
  span: QualitySpan,
  nowMs: number,
  signal: AbortSignal,
): Promise<AlarmQuality> => {
  const query = new URLSearchParams({
    cell: String(cell),
    from: new Date(nowMs - days[span] * 24 * 3600 * 1000).toISOString(),
    to: new Date(nowMs).toISOString(),
  });
  return ask(`/api/v1/alarms/quality?${query}`, signal) as Promise<AlarmQuality>;
};
