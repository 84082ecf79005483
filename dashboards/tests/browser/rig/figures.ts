import type { FigureLive, PhaseLive } from "../../../src/feed/contract";
import { channels, liquidus, vacuumSteps } from "./model";

/** Readings of one run: seconds, and a column for each channel. */
export interface RunRecord {
  readonly t: number[];
  readonly values: number[][];
}

const figure = (name: string, unit: string, rest: Partial<FigureLive>): FigureLive => ({
  figure: name,
  channel: null,
  value: null,
  low: null,
  high: null,
  unit,
  U: null,
  lower: null,
  upper: null,
  verdict: null,
  reason: null,
  decidedBy: null,
  severity: "fail",
  notes: [],
  margin: null,
  usual: null,
  final: false,
  ...rest,
});

function judged(found: FigureLive): FigureLive {
  if (!found.final || found.value === null) return found;
  const inside =
    (found.lower === null || found.value >= found.lower) && (found.upper === null || found.value <= found.upper);
  return { ...found, verdict: inside ? "pass" : "fail" };
}

const firstAt = (record: RunRecord, column: number, test: (value: number) => boolean, from = 0): number | null => {
  for (let i = from; i < record.t.length; i++) if (test(record.values[column][i])) return i;
  return null;
};

/** Places in the record at which each evacuation began, reached its pressure, left it, and was vented. */
function evacuationsOf(record: RunRecord) {
  const p = channels.length - 1;
  const found: Record<"begin" | "reached" | "left" | "vented", number | null>[] = [];
  for (let from: number | null = 0; from !== null; from = found.at(-1)?.vented ?? null) {
    const begin = firstAt(record, p, (v) => v < 960, from);
    if (begin === null) break;
    const reached = firstAt(record, p, (v) => v <= 5, begin);
    const left = reached === null ? null : firstAt(record, p, (v) => v > 5, reached);
    found.push({ begin, reached, left, vented: left === null ? null : firstAt(record, p, (v) => v > 960, left) });
  }
  return found;
}

/** Figures of a scripted run: plain arithmetic on its readings, enough to fill the bars with true numbers. */
export function scriptedFigures(record: RunRecord, ended: boolean, peakLimit: number): FigureLive[] {
  const out: FigureLive[] = [];
  const product = channels.flatMap((channel, i) => (channel.role === "product" ? [i] : []));
  const now = record.t.at(-1) ?? 0;
  const crossings: number[] = [];
  for (const i of product) {
    const id = channels[i].id;
    const column = record.values[i];
    const up = firstAt(record, i, (v) => v >= liquidus);
    const down = up === null ? null : firstAt(record, i, (v) => v < liquidus, up + 20);
    const from = firstAt(record, i, (v) => v >= 150);
    const to = firstAt(record, i, (v) => v >= 180);
    if (up !== null) crossings.push(record.t[up]);
    out.push(
      judged(
        figure("soakTime", "s", {
          channel: id,
          lower: 60,
          upper: 120,
          value: from === null ? null : (to === null ? now : record.t[to]) - record.t[from],
          final: to !== null || ended,
        }),
      ),
    );
    out.push(
      judged(
        figure("peakTemperature", "degC", {
          channel: id,
          upper: peakLimit,
          value: column.length === 0 ? null : column.reduce((a, b) => Math.max(a, b)),
          final: down !== null || ended,
        }),
      ),
    );
    out.push(
      judged(
        figure("sustainedPeak", "degC", {
          channel: id,
          lower: 226,
          value: column.length < 50 ? null : column.reduce((a, b) => Math.max(a, b)) - 0.3,
          final: down !== null || ended,
        }),
      ),
    );
    out.push(
      judged(
        figure("timeAboveLiquidus", "s", {
          channel: id,
          lower: 45,
          upper: 90,
          value: up === null ? 0 : (down === null ? now : record.t[down]) - record.t[up],
          final: down !== null || ended,
        }),
      ),
    );
  }
  if (crossings.length > 1)
    out.push(
      judged(
        figure("liquidusSpread", "s", {
          upper: 15,
          value: Math.max(...crossings) - Math.min(...crossings),
          decidedBy: "tc5",
          final: crossings.length === product.length,
        }),
      ),
    );
  const evacuations = evacuationsOf(record);
  const begin = evacuations.at(0)?.begin ?? null;
  const spans = (from: "begin" | "reached", to: "reached" | "left"): (number | null)[] =>
    evacuations.map((one) => {
      const start = one[from];
      const end = one[to];
      return start === null ? null : (end === null ? now : record.t[end]) - record.t[start];
    });
  const longest = (some: readonly (number | null)[]): number | null => {
    const known = some.filter((one) => one !== null);
    return known.length === 0 ? null : Math.max(...known);
  };
  const held = spans("reached", "left").filter((one) => one !== null);
  out.push(
    judged(
      figure("pumpDownTime", "s", {
        upper: 20,
        severity: "warn",
        value: longest(spans("begin", "reached")),
        final: evacuations.at(-1)?.reached != null,
      }),
    ),
  );
  out.push(
    judged(
      figure("vacuumHold", "s", {
        lower: 10,
        value: held.length === 0 ? null : held.reduce((sum, span) => sum + span, 0),
        final: evacuations.at(-1)?.left != null,
      }),
    ),
  );
  if (vacuumSteps > 1)
    out.push(
      judged(
        figure("evacuations", "1", {
          lower: vacuumSteps,
          upper: vacuumSteps,
          value: evacuations.filter(({ reached }) => reached !== null).length,
          final: ended,
        }),
      ),
    );
  if (begin !== null)
    out.push(
      judged(
        figure("moltenAtEvacuation", "K", {
          lower: 5,
          value: Math.min(...product.map((i) => record.values[i][begin])) - liquidus,
          decidedBy: "tc5",
          final: true,
        }),
      ),
    );
  return out;
}

/** Phases of a scripted run. */
export function scriptedPhases(record: RunRecord, startMs: number, ended: boolean): PhaseLive[] {
  const out: PhaseLive[] = [];
  const product = channels.flatMap((channel, i) => (channel.role === "product" ? [i] : []));
  const any = (level: number): number | null => {
    const at = product.map((i) => firstAt(record, i, (v) => v >= level)).filter((i) => i !== null);
    return at.length === 0 ? null : record.t[Math.min(...at)];
  };
  const hot = firstAt(record, 4, (v) => v >= liquidus);
  const cooled = hot === null ? null : firstAt(record, 4, (v) => v < liquidus - 2, hot + 20);
  const marks: [string, number | null][] = [
    ["load", 0],
    ["preheat", any(40)],
    ["soak", any(150)],
    ["ramp", any(180)],
    ["reflow", any(liquidus)],
    ["cool", cooled === null ? null : record.t[cooled]],
  ];
  const at = (i: number | null): number | null => (i === null ? null : record.t[i]);
  const vacuum = evacuationsOf(record).flatMap(({ begin, reached, left, vented }): [string, number | null][] => [
    ["evacuate", at(begin)],
    ["hold", at(reached)],
    ["vent", at(left)],
    ["", at(vented)],
  ]);
  const now = record.t.at(-1) ?? 0;
  for (const [list, track] of [
    [marks, "thermal"],
    [vacuum, "vacuum"],
  ] as const)
    list.forEach(([phase, start], i) => {
      if (start === null || phase === "") return;
      const end = list.at(i + 1)?.[1] ?? (ended ? now : null);
      out.push({ phase, track, start: startMs + start * 1000, end: end === null ? null : startMs + end * 1000 });
    });
  return out;
}
