/** Words for what people say of a run while it goes on. The rules are those of `en.ts`. */
export const runOrdersEn = {
  runOrders: {
    control: "About the run",
    notFetched: "Run: not fetched, press again",
    heading: "What is said of the run",
    /** In each of these dialogs. */
    switchesNothing: "It goes into the record and switches nothing at the machine.",
    none: "no run goes on",
    goesOn: (run: number, kind: string) => `run ${run} goes on: ${kind}`,
    button: {
      begin: "A run begins",
      intervention: "Somebody acted",
      kind: "What it is for",
      end: "The run ends",
    },
    title: {
      begin: (carrier: string, _run: number) => `A run of carrier ${carrier} begins`,
      intervention: (carrier: string, run: number) => `Somebody acted during run ${run} of carrier ${carrier}`,
      kind: (carrier: string, run: number) => `What run ${run} of carrier ${carrier} is for`,
      end: (carrier: string, run: number) => `Run ${run} of carrier ${carrier} ends now`,
    },
    detail: {
      begin: "For machines that tell by no signal that a run begins.",
      intervention: "The run says from now on that somebody acted; your words are kept in the log of what people do.",
      kind: "What was read stays as it is; the log keeps who said it.",
      end: "The run is judged by what was read until now, and cannot go on afterwards.",
    },
    answer: {
      begin: "Record the beginning",
      intervention: "Record it",
      kind: "Record it",
      end: "Record the end",
    },
    what: "what the run is for",
    byReadings: "as the readings show",
    kinds: {
      profile: "profile",
      verification: "verification",
      production: "production",
      empty: "no boards",
      maintenance: "maintenance",
    },
    recipe: "number of the recipe",
    done: "what was done at the machine",
    doneNeeded: "Say in a few words what was done.",
    otherwise: "Not recorded: the carrier stands otherwise by now.",
    busy: "Not recorded: the service is busy. What you typed is still here; send it again.",
  },
};
