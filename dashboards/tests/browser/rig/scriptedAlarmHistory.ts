import type { AlarmQuality } from "../../../src/feed/quality";
import type { AlarmStep, AlarmStepPage } from "../../../src/feed/records";
import { lastRunMs } from "./model";

/** What a played cell says of its alarms as such. */
export function scriptedQuality(query: URLSearchParams): AlarmQuality {
  const span_s = (Date.parse(query.get("to") ?? "") - Date.parse(query.get("from") ?? "")) / 1000;
  const told = Math.min(90, Math.floor(span_s / (53 * 60)));
  const each = Math.floor(told / 4);
  return {
    from: query.get("from") ?? "",
    to: query.get("to") ?? "",
    told,
    perTenMinutes: (told * 600) / span_s,
    mostInTenMinutes: 1,
    floodShare: 0,
    chattering: ["tooHot/tc2"],
    fleeting: 0,
    stale: [],
    mostFrequent: ["slowPumpDown", "tooHot/tc2", "deviceSilent/amp", "pressureStall"].map((alarmId) => ({
      alarmId,
      told: each,
      share: each / told,
    })),
    topTenShare: 1,
    medianToAcknowledge_s: 12,
    ninetyPercentToAcknowledge_s: 25,
    neverAcknowledged: 0,
    priorities: { high: 0.25, medium: 0.5, low: 0.25 },
  };
}

/** Alarms of the past, newest first: each came, was seen, and went; the last of them nobody has seen. */
export function scriptedSteps(query: URLSearchParams, newestRun: number): AlarmStepPage {
  const before = Number(query.get("before") ?? 1e9);
  const limit = Number(query.get("limit"));
  const steps: AlarmStep[] = [];
  const conditions = ["slowPumpDown", "tooHot", "deviceSilent", "pressureStall"] as const;
  for (let n = 0; n < 90; n++) {
    const condition = conditions[n % conditions.length];
    const began = lastRunMs - n * 53 * 60 * 1000;
    const common = {
      alarmId: condition === "deviceSilent" ? "deviceSilent/amp" : condition === "tooHot" ? "tooHot/tc2" : condition,
      condition,
      channel: condition === "tooHot" ? "tc2" : null,
      predicted: false,
      value: condition === "tooHot" ? 248.4 : null,
      limit: condition === "tooHot" ? 245 : null,
      run: condition === "deviceSilent" ? null : newestRun - Math.floor((n * 53) / 10),
      signal: "conditionClears",
      priority: "medium" as const,
      by: "",
      comment: "",
      until: null,
      figure: null,
    };
    const at = (s: number): string => new Date(began + s * 1000).toISOString();
    const id = 1000 - n * 3;
    if (n % 6 === 0)
      steps.push(
        { ...common, id, time: at(25), state: "normal", signal: "acknowledge", by: "viewer at the page" },
        { ...common, id: id - 1, time: at(9), state: "returnedUnacknowledged" },
      );
    else
      steps.push(
        { ...common, id, time: at(31), state: "normal" },
        {
          ...common,
          id: id - 1,
          time: at(12),
          state: "acknowledged",
          signal: "acknowledge",
          by: "shift lead",
          comment: "filter ordered",
        },
      );
    steps.push({ ...common, id: id - 2, time: at(0), state: "unacknowledged" });
  }
  const found = steps.filter((step) => step.id < before).slice(0, limit);
  return { steps: found, next: found.length === limit ? (found.at(-1)?.id ?? null) : null };
}
