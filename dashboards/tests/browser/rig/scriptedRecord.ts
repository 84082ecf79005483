import type {
  Ask,
  ListedRun,
  RecordedFigure,
  RunCurves,
  RunDetail,
  RunPage,
  RunShape,
  RunSummary,
  Verdict,
} from "../../../src/feed/records";
import { Refusal } from "../../../src/feed/records";
import type { RecordRoom } from "../../../src/state/recordRoom";
import { type RunRecord, scriptedFigures, scriptedPhases } from "./figures";
import { channels, createThermals, cycle_s, interval_s, lastRunMs, pressureAt } from "./model";
import { scriptedQuality, scriptedSteps } from "./scriptedAlarmHistory";
import type { ScriptedHub } from "./scriptedHub";
import { ScriptedPapers } from "./scriptedPapers";
import { ScriptedUpkeep } from "./scriptedUpkeep";

const apart_ms = 10 * 60 * 1000;

interface Past {
  readonly number: number;
  readonly startMs: number;
  readonly record: RunRecord;
  /** Stretch in which the amplifier gave nothing; null: none. */
  readonly gap: readonly [number, number] | null;
  readonly figures: readonly RecordedFigure[];
}

/** The record of a played cell: runs of the past that are computed when somebody asks for them. */
export class ScriptedRecord {
  readonly papers = new ScriptedPapers();
  readonly upkeep = new ScriptedUpkeep();
  private readonly computed = new Map<number, Past>();
  /** Every address that was asked for. */
  readonly asked: string[] = [];
  /** The next so many questions are not answered. */
  refuse = 0;
  delayMs = 0;
  /** Number of a run in which no board was measured; null: none. */
  production: number | null = null;
  /** How the disk of the record stands. */
  room: RecordRoom = {
    state: "recording",
    reason: "",
    waitingEntries: 0,
    notRecorded: 0,
    freeBytes: 4.1e11,
    daysLeft: 900,
    roomIsLow: false,
  };

  constructor(
    private readonly hub: ScriptedHub,
    private readonly newest = 212,
    private readonly oldest = 100,
  ) {}

  readonly ask: Ask = async (path, signal, sent) => {
    this.asked.push(path);
    if (this.delayMs > 0) await new Promise((resolve) => setTimeout(resolve, this.delayMs));
    signal.throwIfAborted();
    if (this.refuse > 0) {
      this.refuse--;
      throw new TypeError("Failed to fetch");
    }
    const url = new URL(path, "http://service");
    if (url.pathname === "/api/v1/record") return this.room;
    if (url.pathname === "/api/v1/alarms/quality") return scriptedQuality(url.searchParams);
    const steps = url.pathname.split("/").slice(5);
    if (steps[0] === "carriers" && sent !== undefined)
      return this.hub.runOrder(decodeURIComponent(steps[1]), steps[3], sent.body as { by: string });
    if (steps[0] === "references")
      return {
        references: [181, 183, 184, 186, 187, 188].map((run) => ({
          run,
          withdrawn: run === 184 ? "2026-11-25T12:00:00Z" : null,
        })),
      };
    if (steps[0] === "rejudgements") return this.upkeep.rejudgements(steps.slice(1), sent);
    if (steps[0] === "alarms") return scriptedSteps(url.searchParams, this.newest);
    if (steps[1] === undefined) return this.list(url.searchParams);
    const number = Number(steps[1]);
    if (steps[2] === "decisions")
      return { decisions: sent === undefined ? this.papers.decisions(number) : this.papers.decide(number, sent) };
    if (steps[2] === "record") return sent === undefined ? this.papers.record(number) : this.papers.edit(number, sent);
    if (steps[2] === "deletion") return this.upkeep.deletion(number, sent);
    if (steps[2] === "comparison") return this.papers.comparison();
    if (!(number >= this.oldest && number <= this.newest)) throw new Refusal(`Cell 1 has no run ${number}.`, 404);
    return steps[2] === "curves"
      ? this.curves(number)
      : steps[2] === "shape"
        ? this.shape(number)
        : this.detail(number);
  };

  private past(number: number): Past {
    const known = this.computed.get(number);
    if (known !== undefined) return known;
    const thermals = createThermals(number);
    const record: RunRecord = { t: [], values: channels.map(() => []) };
    const gap = number % 11 === 4 ? ([120, 150] as const) : null;
    for (let t = 0; t <= cycle_s; t += interval_s) {
      const values = thermals.step(t);
      values[channels.length - 1] = pressureAt(t, number % 5 === 0);
      record.t.push(t);
      // Every seventh run is too hot at one joint.
      values.forEach((value, i) => {
        record.values[i].push(number % 7 === 0 && i === 1 && t > 200 && t < 262 ? value + 17 : value);
      });
    }
    const figures = scriptedFigures(record, true, 245).map(
      (figure): RecordedFigure => ({
        ...figure,
        verdict:
          gap !== null && figure.channel === "tc3" && figure.figure === "soakTime" ? "undetermined" : figure.verdict,
        value: gap !== null && figure.channel === "tc3" && figure.figure === "soakTime" ? null : figure.value,
        reason: gap !== null && figure.channel === "tc3" && figure.figure === "soakTime" ? "gap" : figure.reason,
        notes: [],
        margin: null,
        U: figure.unit === "degC" ? 2.1 : figure.unit === "s" ? 0.6 : null,
      }),
    );
    const past = { number, startMs: lastRunMs - (this.newest - number) * apart_ms, record, gap, figures };
    this.computed.set(number, past);
    return past;
  }

  private summary(number: number): RunSummary {
    const run = this.judged(number);
    return number === this.production
      ? { ...run, kind: "production", verdict: null, reasons: [], product: "Gate driver", load: 4 }
      : run;
  }

  private judged(number: number): RunSummary {
    const { startMs, figures } = this.past(number);
    const failed = figures.find((figure) => figure.verdict === "fail" && figure.severity === "fail");
    const unknown = figures.find((figure) => figure.verdict === "undetermined");
    const verdict: Verdict = failed !== undefined ? "fail" : unknown !== undefined ? "undetermined" : "pass";
    return {
      cell: 1,
      number,
      carrier: number % 3 === 0 ? "A" : "B",
      kind: "profile",
      recipe: null,
      startReason: "heating",
      start: new Date(startMs).toISOString(),
      end: new Date(startMs + cycle_s * 1000).toISOString(),
      endReason: "cooled",
      spec: { name: "Inverter power board PB-6", version: 3 },
      verdict,
      reasons: failed !== undefined ? [failed.figure] : unknown !== undefined ? ["gap"] : [],
      notes: number % 9 === 0 ? ["warmStart"] : [],
      product: this.papers.record(number).product,
      load: null,
      serials: this.papers.record(number).serials,
      decision: this.papers.decisions(number).at(-1) ?? null,
    };
  }

  private list(query: URLSearchParams): RunPage {
    const before = Number(query.get("before") ?? this.newest + 1);
    const limit = Number(query.get("limit"));
    const found: ListedRun[] = [];
    for (let number = before - 1; number >= this.oldest && found.length < limit; number--) {
      const run = this.summary(number);
      const [verdict, carrier, spec] = [query.get("verdict"), query.get("carrier"), query.get("spec")];
      if (verdict !== null && run.verdict !== verdict) continue;
      const [product, serial] = [query.get("product"), query.get("serial")];
      if (product !== null && !(run.product ?? "").toLowerCase().includes(product.toLowerCase())) continue;
      if (serial !== null && !run.serials.includes(serial)) continue;
      if (carrier !== null && run.carrier !== carrier) continue;
      if (spec !== null && !run.spec?.name.toLowerCase().includes(spec.toLowerCase())) continue;
      if (run.start < (query.get("from") ?? "") || run.start > (query.get("to") ?? "9")) continue;
      const decided = run.decision?.kind ?? null;
      if (query.get("decision") !== null && query.get("decision") !== decided) continue;
      const waits = decided === null ? run.verdict !== "pass" : decided === "hold" || decided === "inspect";
      if (query.get("open") === "true" && !waits) continue;
      const { figures } = this.past(number);
      const worst = new Map<string, RecordedFigure>();
      for (const figure of figures) {
        const known = worst.get(figure.figure);
        const badness = { fail: 2, undetermined: 1, pass: 0 } as const;
        if (known === undefined || badness[figure.verdict ?? "pass"] > badness[known.verdict ?? "pass"])
          worst.set(figure.figure, figure);
      }
      found.push({ ...run, tightest: [...worst.values()], phases: this.detail(number).phases });
    }
    return { runs: found, next: found.length === limit ? (found.at(-1)?.number ?? null) : null };
  }

  private detail(number: number): RunDetail {
    const { startMs, record, figures } = this.past(number);
    const layout = this.hub.layout();
    const production = number === this.production;
    return {
      run: this.summary(number),
      figures: production ? figures.filter((figure) => figure.channel === null) : figures,
      phases: scriptedPhases(record, startMs, true).map((phase) => ({
        phase: phase.phase,
        track: phase.track,
        start_s: (phase.start - startMs) / 1000,
        end_s: phase.end === null ? null : (phase.end - startMs) / 1000,
      })),
      channels: layout.channels.map((channel) => ({
        ...channel,
        carrier: null,
        role: production && channel.role === "product" ? ("auxiliary" as const) : channel.role,
      })),
      devices: layout.devices,
      specInForce: layout.spec,
      previous: number > this.oldest ? number - 1 : null,
      next: number < this.newest ? number + 1 : null,
    };
  }

  /** One thermocouple of run 207 came off at 190 s, and two single readings of another are far from their neighbours. */
  private marks(number: number): RunCurves["marks"] {
    if (number !== 207) return [];
    const spike = (at_s: number) => ({ channel: "tc4", from_s: at_s, to_s: at_s, quality: "uncertain:spike" });
    const { t } = this.past(number).record;
    const exact = (at_s: number): number => t.find((time) => time >= at_s - 0.01) ?? at_s;
    return [
      spike(exact(100)),
      spike(exact(140)),
      { channel: "tc6", from_s: exact(190), to_s: t.at(-1) ?? 0, quality: "uncertain:detached" },
    ];
  }

  private curves(number: number): RunCurves {
    const { startMs, record, gap } = this.past(number);
    const marks = this.marks(number);
    return {
      start: new Date(startMs).toISOString(),
      time_s: record.t,
      curves: channels.map((channel, i) => {
        const hole = (t: number): boolean => channel.device === "amp" && gap !== null && t > gap[0] && t < gap[1];
        return {
          channel: channel.id,
          unit: channel.role === "pressure" ? "mbar" : "degC",
          values: record.values[i].map((value, row) => {
            const own = marks.find(
              (mark) => mark.channel === channel.id && mark.from_s <= record.t[row] && record.t[row] <= mark.to_s,
            );
            if (hole(record.t[row])) return null;
            return own === undefined ? value : own.from_s === own.to_s ? value + 60 : value - 30;
          }),
          quality: record.t
            .map((t) =>
              hole(t)
                ? "2"
                : marks.some((mark) => mark.channel === channel.id && mark.from_s <= t && t <= mark.to_s)
                  ? "1"
                  : "0",
            )
            .join(""),
        };
      }),
      marks,
      lost: [],
    };
  }

  private shape(number: number): RunShape {
    const { startMs, record } = this.past(number);
    const columns = 120;
    const product = channels.flatMap((channel, i) => (channel.role === "product" ? [i] : []));
    const column = (c: number, pick: (values: number[]) => number, of: readonly number[]): number => {
      const from = Math.floor((c * record.t.length) / columns);
      const to = Math.floor(((c + 1) * record.t.length) / columns);
      return pick(of.flatMap((i) => record.values[i].slice(from, to)));
    };
    const all = Array.from({ length: columns }, (_, c) => c);
    return {
      start: new Date(startMs).toISOString(),
      length_s: cycle_s,
      of: "product",
      low: all.map((c) => column(c, (values) => Math.min(...values), product)),
      high: all.map((c) => column(c, (values) => Math.max(...values), product)),
      pressure: all.map((c) => column(c, (values) => Math.min(...values), [channels.length - 1])),
    };
  }
}
