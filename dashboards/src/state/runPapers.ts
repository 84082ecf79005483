import type { Comparison, Decision, NewDecision, Papers, RecordEdit, RunRecord } from "../feed/papers";
import { type Annotation, withAnnotation } from "./annotations";
import { type Asked, failed } from "./asked";

/** What people have said of one run, and what it is like; each part comes when it comes. */
export interface RunPaper {
  readonly cell: number;
  readonly run: number;
  readonly decisions: Asked<readonly Decision[]>;
  readonly record: Asked<RunRecord>;
  readonly comparison: Asked<Comparison>;
}

/** The decision that stands: the last. */
export const standing = (paper: RunPaper): Decision | null =>
  paper.decisions.kind === "here" ? (paper.decisions.value.at(-1) ?? null) : null;

/** The papers of the runs that are looked at. */
export interface RunPapers {
  /** What is known of a run; asks for what is not, and again for what may have changed elsewhere. */
  of(cell: number, run: number): RunPaper;
  /** Only what is there already. */
  known(cell: number, run: number): RunPaper | null;
  decide(cell: number, run: number, decision: NewDecision): Promise<void>;
  edit(cell: number, run: number, edit: RecordEdit): Promise<void>;
  /** Writes an annotation into the remarks as they stand at that moment. */
  annotate(cell: number, run: number, annotation: Annotation, by: string): Promise<void>;
}

/** Somebody else may decide at another page: what is older than this is asked for again, ms. */
const freshMs = 20_000;
const kept = 12;

export function createRunPapers(papers: Papers, nowMs: () => number, changed: () => void): RunPapers {
  const all = new Map<string, { paper: RunPaper; askedMs: number }>();
  const keyOf = (cell: number, run: number): string => `${cell}/${run}`;
  const put = (cell: number, run: number, part: Partial<RunPaper>): void => {
    const entry = all.get(keyOf(cell, run));
    if (entry === undefined) return;
    entry.paper = { ...entry.paper, ...part };
    changed();
  };
  const fetch = (cell: number, run: number): void => {
    const { signal } = new AbortController();
    const part = <K extends "decisions" | "record" | "comparison">(
      name: K,
      answer: Promise<RunPaper[K] extends Asked<infer T> ? T : never>,
    ): void => {
      answer.then(
        (value) => put(cell, run, { [name]: { kind: "here", value } }),
        (error: unknown) => {
          // What was known stays; it is not wrong because a later question was not answered.
          if (all.get(keyOf(cell, run))?.paper[name].kind !== "here") put(cell, run, { [name]: failed(error) });
        },
      );
    };
    part("decisions", papers.decisions(cell, run, signal));
    part("record", papers.record(cell, run, signal));
    part("comparison", papers.comparison(cell, run, signal));
  };

  return {
    of(cell, run) {
      const key = keyOf(cell, run);
      let entry = all.get(key);
      if (entry === undefined) {
        const asking = { kind: "asking", sinceMs: nowMs() } as const;
        entry = {
          paper: { cell, run, decisions: asking, record: asking, comparison: asking },
          askedMs: Number.NEGATIVE_INFINITY,
        };
        all.set(key, entry);
        const oldest = all.keys().next().value;
        if (all.size > kept && oldest !== undefined) all.delete(oldest);
      }
      if (nowMs() - entry.askedMs > freshMs) {
        entry.askedMs = nowMs();
        fetch(cell, run);
      }
      return entry.paper;
    },
    known: (cell, run) => all.get(keyOf(cell, run))?.paper ?? null,
    async decide(cell, run, decision) {
      const value = await papers.decide(cell, run, decision);
      put(cell, run, { decisions: { kind: "here", value } });
    },
    async annotate(cell, run, annotation, by) {
      const { remarks } = await papers.record(cell, run, new AbortController().signal);
      const value = await papers.edit(cell, run, { remarks: withAnnotation(remarks, annotation), by, reason: null });
      this.of(cell, run);
      put(cell, run, { record: { kind: "here", value } });
    },
    async edit(cell, run, edit) {
      const value = await papers.edit(cell, run, edit);
      put(cell, run, { record: { kind: "here", value } });
    },
  };
}
