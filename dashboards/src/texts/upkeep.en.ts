/** Words for what takes long or cannot be undone. The rules are those of `en.ts`. */
export const upkeepEn = {
  rejudge: {
    button: "Judge all once more",
    title: "Judge all runs once more",
    detail:
      "By this program’s rules of now and, if a channel is chosen, as if it had read too high. The verdicts of then stay; what comes out stands beside them.",
    channel: "channel that read too high",
    noChannel: "none",
    high: "by how much, in K or mbar; a minus sign for too low",
    highNeeded: "Give by how much the channel read too high, such as 3.1.",
    reason: "why",
    reasonNeeded: "Say in a few words why.",
    answer: "Judge them",
    going: (done: number, total: number) => `Judging once more: ${done} of ${total} runs.`,
    left: (span: string) => `About ${span} left.`,
    leftUnknown: "How long it takes is not known yet.",
    soFar: (other: number) =>
      other === 1 ? "1 with another verdict so far." : `${other} with another verdict so far.`,
    unheard: "The service did not answer; it goes on there.",
    cancelled: (done: number, total: number) =>
      `Ended after ${done} of ${total} runs. What was judged until then is not kept.`,
    failed: (why: string) => `It could not go on: ${why}`,
    done: (total: number, other: number) =>
      `${total === 1 ? "1 run" : `${total} runs`} judged once more: ${other === 0 ? "each has the verdict it had" : other === 1 ? "1 has another verdict" : `${other} have another verdict`}.`,
    kept: "The verdicts of then stay as they were.",
    moved: (before: string, after: string) => `${before}, now ${after}`,
    more: (n: number) => `and ${n} more`,
    close: "Close",
  },
  deletion: {
    button: "Delete its readings",
    asking: "Asking what would be lost.",
    title: (run: number) => `Delete the readings of run ${run}`,
    lost: (entries: number, size: string) =>
      `Lost for good: ${entries} entries of raw readings, ${size}. Its curves can then no longer be drawn, exported or judged. This cannot be undone.`,
    kept: "Kept: its figures, verdict and phases, its alarms, what people said and decided of it, and this decision.",
    stay: (entries: number) => `${entries} entries stay, because another run needs them.`,
    typed: (run: number) => `type the run’s number, ${run}, to confirm`,
    typedNeeded: (run: number) => `Type ${run}, the number of the run whose readings are to go.`,
    reason: "why",
    reasonNeeded: "Say in a few words why: the record keeps it.",
    answer: "Delete for good",
    done: (run: number) => `The readings of run ${run} are deleted.`,
  },
};
