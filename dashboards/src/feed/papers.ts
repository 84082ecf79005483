import type { Ask } from "./records";

/** What people say of a run, as it arrives from /api/v1 and goes there. Times RFC 3339 in UTC. */
export const decisionKinds = ["release", "hold", "inspect", "rework", "scrap"] as const;
export type DecisionKind = (typeof decisionKinds)[number];

export interface Decision {
  readonly time: string;
  readonly kind: DecisionKind;
  readonly by: string;
  readonly reason: string;
  /** Number of the document it rests on. */
  readonly reference: string | null;
  /** Of an inspection: which joints. */
  readonly what: string | null;
}
export type NewDecision = Omit<Decision, "time">;

/** The words of a run's record that can be put in on a page. */
export interface RecordFields {
  readonly product: string | null;
  readonly serials: readonly string[];
  readonly position: string | null;
  readonly load: number | null;
  readonly recipe: number | null;
  readonly pasteLot: string | null;
  readonly operator: string | null;
  readonly remarks: string | null;
}
export interface RecordChange {
  readonly time: string;
  readonly by: string;
  readonly reason: string | null;
  readonly changes: readonly { readonly field: string; readonly from: string | null; readonly to: string | null }[];
}
export interface RunRecord extends RecordFields {
  readonly pasteOpened: string | null;
  readonly floorLifeEnds: string | null;
  /** Oldest first. */
  readonly changes: readonly RecordChange[];
}
/** What is left out stays as it is; an empty text clears a field. */
export type RecordEdit = Partial<RecordFields> & { readonly by: string; readonly reason: string | null };

/** A run held against released ones of the same product, spec, recipe and load. */
export interface Comparison {
  readonly result: "consistent" | "differs" | "notComparable";
  /** How many released runs were comparable. */
  readonly runs: number;
  readonly reason: string | null;
  /** The furthest off first. */
  readonly figures: readonly {
    readonly figure: string;
    readonly unit: string;
    readonly value: number | null;
    readonly median: number;
    readonly low: number;
    readonly high: number;
    readonly runs: number;
    readonly inside: boolean;
    /** Missing, or further off than chance takes single figures of good runs. */
    readonly differs: boolean;
  }[];
}

/** What has been said of the runs of a cell. */
export interface Papers {
  decisions(cell: number, run: number, signal: AbortSignal): Promise<readonly Decision[]>;
  /** Answers all decisions of the run, the new one last. */
  decide(cell: number, run: number, decision: NewDecision): Promise<readonly Decision[]>;
  record(cell: number, run: number, signal: AbortSignal): Promise<RunRecord>;
  edit(cell: number, run: number, edit: RecordEdit): Promise<RunRecord>;
  comparison(cell: number, run: number, signal: AbortSignal): Promise<Comparison>;
  /** Numbers of the runs that stand as references, oldest first. */
  references(cell: number, signal: AbortSignal): Promise<readonly number[]>;
}

/** Nobody gives up what has been sent: whether it arrived would then be unknown. */
const never = new AbortController().signal;

export function createPapers(ask: Ask): Papers {
  const at = (cell: number, run: number): string => `/api/v1/cells/${cell}/runs/${run}`;
  const list = (answer: unknown): readonly Decision[] => (answer as { decisions: readonly Decision[] }).decisions;
  return {
    decisions: async (cell, run, signal) => list(await ask(`${at(cell, run)}/decisions`, signal)),
    decide: async (cell, run, decision) =>
      list(await ask(`${at(cell, run)}/decisions`, never, { method: "POST", body: decision })),
    record: (cell, run, signal) => ask(`${at(cell, run)}/record`, signal) as Promise<RunRecord>,
    edit: (cell, run, edit) =>
      ask(`${at(cell, run)}/record`, never, { method: "PATCH", body: edit }) as Promise<RunRecord>,
    references: async (cell, signal) => {
      const answer = (await ask(`/api/v1/cells/${cell}/references`, signal)) as {
        references: readonly { run: number; withdrawn: string | null }[];
      };
      return answer.references.filter((one) => one.withdrawn === null).map((one) => one.run);
    },
    comparison: (cell, run, signal) => ask(`${at(cell, run)}/comparison`, signal) as Promise<Comparison>,
  };
}
