import { Refusal, type Sent } from "../../../src/feed/records";
import type { Deletion, Job, Rejudgement } from "../../../src/feed/upkeep";

const total = 24;

/** Long work and steps that cannot be undone, as a played service has them. */
export class ScriptedUpkeep {
  /** Runs that are judged whenever somebody asks how far the work is. */
  pace = 4;
  /** Only from the node itself: another computer is refused, in the service's words. */
  refuseDeletion = false;
  readonly deleted: unknown[] = [];
  readonly ordered: unknown[] = [];
  private job: Job | null = null;

  rejudgements(steps: readonly string[], sent: Sent | undefined): Job | Rejudgement {
    if (steps[0] === undefined && sent !== undefined) {
      this.ordered.push(sent.body);
      const { by, reason } = sent.body as { by: string; reason: string };
      this.job = {
        id: 1,
        state: "running",
        by,
        reason,
        done: 0,
        total,
        other: 0,
        seconds: 0,
        number: null,
        problem: null,
      };
      return this.job;
    }
    const { job } = this;
    if (job === null) throw new Refusal("There is no job 1 since the service began.", 404);
    if (steps[0] !== "jobs")
      return {
        number: 1,
        judged: total,
        other: 2,
        notJudged: 0,
        runs: [
          { run: 203, before: "fail", after: "pass", serials: [], problem: null },
          { run: 210, before: "fail", after: "pass", serials: ["GD-210"], problem: null },
        ],
      };
    if (sent?.method === "DELETE") this.job = { ...job, state: "cancelled" };
    else if (job.state === "running") {
      const done = Math.min(total, job.done + this.pace);
      this.job = { ...job, done, seconds: job.seconds + 0.7, other: done > 10 ? 2 : 0 };
      if (done === total) this.job = { ...this.job, state: "done", number: 1 };
    }
    return this.job as Job;
  }

  deletion(run: number, sent: Sent | undefined): Deletion {
    if (sent !== undefined) {
      if (this.refuseDeletion)
        throw new Refusal(
          "Readings are deleted only by somebody at the node: send the request from that computer, or use the command line there.",
          403,
        );
      this.deleted.push({ run, ...(sent.body as object) });
    }
    return { run, problem: null, entries: 3612, bytes: 4.2e5, entriesThatStay: 0 };
  }
}
