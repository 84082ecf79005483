/** Words for what people do at a page: decide, write into the record, answer alarms. The rules are those of `en.ts`. */
export const doingEn = {
  ask: {
    by: "your name",
    byNeeded: "Give your name: the record says who did it.",
    mayBeEmpty: "may stay empty",
    cancel: "Cancel",
    sending: "Sending",
    notSent: "Not sent: the service did not answer. What you typed is still here.",
  },
  decide: {
    label: "Decide",
    asked: "is being fetched",
    unknown: "unknown: the service did not answer",
    short: { release: "Release", hold: "Hold", inspect: "Inspect", rework: "Rework", scrap: "Scrap" },
    title: {
      release: (run: number) => `Release the boards of run ${run}`,
      hold: (run: number) => `Hold the boards of run ${run}`,
      inspect: (run: number) => `Have boards of run ${run} inspected`,
      rework: (run: number) => `Have boards of run ${run} reworked`,
      scrap: (run: number) => `Scrap the boards of run ${run}`,
    },
    answer: {
      release: "Record the release",
      hold: "Record the hold",
      inspect: "Record the inspection",
      rework: "Record the rework",
      scrap: "Record the scrapping",
    },
    detail:
      "It stands beside the verdict and changes nothing in it. A later decision can stand over it; none is erased.",
    again: (what: string, by: string) =>
      `So far: ${what}, by ${by}. That stays in the record; the new decision stands over it.`,
    what: "which joints, on which boards",
    whatNeeded: "Name the joints to look at, such as “U3 on boards 2 and 4”.",
    reason: "why",
    reasonNeeded: "Say in a few words why.",
    reference: "number of the document it rests on",
    by: (by: string, at: string) => `by ${by}, ${at}`,
    before: (n: number) => (n === 1 ? "1 earlier decision" : `${n} earlier decisions`),
    waiting: "decision",
    /** Which decisions runs are searched by. */
    search: {
      "": "any decision",
      waiting: "waits for a person",
      release: "released",
      hold: "on hold",
      inspect: "to inspect",
      rework: "to rework",
      scrap: "scrapped",
    },
    waits: (n: number, more: boolean) =>
      `${more ? `At least ${n} runs wait` : n === 1 ? "1 run waits" : `${n} runs wait`} for a person’s decision.`,
    waitsNone: "No run waits for a decision.",
    waitsDetail: "Ended without a pass and not decided, or on hold or to inspect since.",
  },
  record: {
    heading: "Record",
    button: "Edit",
    asking: "The record is being fetched.",
    failed: "The record did not come: the service did not answer.",
    /** The recipe that the machine ran, while nobody has said one. */
    byMachine: (recipe: number) => `${recipe}, as the machine says`,
    empty: "Nobody has said anything of this run yet.",
    edit: (run: number) => `Record of run ${run}`,
    editDetail: "Every change is kept with its author. What is left as it is does not change.",
    answer: "Save the changes",
    reason: "why it is changed",
    changed: (n: number) => (n === 1 ? "changed once" : `changed ${n} times`),
    change: (field: string, from: string, to: string) => `${field} from “${from}” to “${to}”`,
    fields: {
      product: "product",
      serials: "serial numbers",
      load: "boards",
      recipe: "recipe",
      position: "position",
      pasteLot: "paste lot",
      pasteOpened: "paste in use since",
      floorLifeEnds: "floor life ends",
      operator: "operator",
      sensors: "sensors",
      remarks: "remarks",
    } as Record<string, string>,
  },
  annotate: {
    button: "Annotate",
    title: (time: string) => `What was at ${time}`,
    detail: "It stands at this moment of the curves and in the run’s record.",
    text: "what was seen or done",
    needed: "Write a few words.",
    answer: "Write it down",
  },
  /** What a run without product sensors is like. */
  likeness: {
    asked: (carrier: string) => `Carrier ${carrier}: being held against the released runs.`,
    consistent: (carrier: string, runs: number) =>
      `Carrier ${carrier}: like the ${runs} released runs of its kind. No board temperature was measured.`,
    differs: (carrier: string, runs: number, figure: string, value: string, low: string, high: string) =>
      `Carrier ${carrier} differs from ${runs} released runs: ${figure} ${value}, usually ${low} to ${high}.`,
    notComparable: (carrier: string) => `Carrier ${carrier}: not comparable. No board temperature was measured.`,
    fewRuns: (runs: number) =>
      runs === 0
        ? "No released run of the same product, recipe and load is there yet; 5 are needed."
        : `${runs} released ${runs === 1 ? "run" : "runs"} of the same product, recipe and load; 5 are needed.`,
    more: (n: number) => `${n} further ${n === 1 ? "figure lies" : "figures lie"} outside.`,
    decisionNeeded: "A person decides.",
    unknown: (carrier: string) => `Carrier ${carrier}: no board temperature was measured, so nothing was judged.`,
    compared: "Vapour, vacuum and times were compared.",
  },
};
