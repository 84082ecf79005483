import type { Comparison, Decision, NewDecision, RecordChange, RecordEdit, RunRecord } from "../../../src/feed/papers";
import { Refusal, type Sent } from "../../../src/feed/records";

/** What people have said of the runs of a played cell: nothing is overwritten, as in the service. */
export class ScriptedPapers {
  private readonly decided = new Map<number, Decision[]>();
  private readonly records = new Map<number, RunRecord>();
  /** Next times of what is said. */
  private nextMs = Date.UTC(2026, 10, 25, 14, 0, 0);

  private time(): string {
    this.nextMs += 60_000;
    return new Date(this.nextMs).toISOString();
  }

  decisions(run: number): Decision[] {
    let all = this.decided.get(run);
    if (all === undefined) {
      const hold = {
        kind: "hold",
        by: "process engineer",
        reason: "choke too hot",
        reference: null,
        what: null,
      } as const;
      all =
        run % 7 === 0 && run < 213
          ? [{ ...hold, time: new Date(Date.UTC(2026, 10, 25, 9, run % 60)).toISOString() }]
          : [];
      this.decided.set(run, all);
    }
    return all;
  }

  decide(run: number, sent: Sent): Decision[] {
    const decision = sent.body as NewDecision;
    if (decision.by.trim() === "") throw new Refusal("by: a decision needs the name of the person who makes it.", 400);
    this.decisions(run).push({ ...decision, time: this.time() });
    return [...this.decisions(run)];
  }

  record(run: number): RunRecord {
    let record = this.records.get(run);
    if (record === undefined) {
      record = {
        product: run % 2 === 0 ? "Gate driver" : null,
        serials: run % 2 === 0 ? [`GD-${run}`] : [],
        position: null,
        load: null,
        recipe: null,
        pasteLot: null,
        pasteOpened: null,
        floorLifeEnds: null,
        operator: null,
        remarks: null,
        changes: [],
      };
      this.records.set(run, record);
    }
    return record;
  }

  edit(run: number, sent: Sent): RunRecord {
    const { by, reason, ...fields } = sent.body as RecordEdit;
    const before = this.record(run);
    const line = (value: unknown): string | null =>
      value === null || value === undefined ? null : Array.isArray(value) ? value.join(", ") : String(value);
    const change: RecordChange = {
      time: this.time(),
      by,
      reason,
      changes: Object.entries(fields).map(([field, to]) => ({
        field,
        from: line(before[field as keyof RunRecord]),
        to: line(to),
      })),
    };
    const after = { ...before, ...fields, changes: [...before.changes, change] };
    this.records.set(run, after);
    return after;
  }

  comparison(): Comparison {
    return { result: "notComparable", runs: 2, reason: null, figures: [] };
  }
}
