/** Words of the floor. The rules are those of `en.ts`. */
export const floorEn = {
  floor: {
    heading: "Floor",
    count: (n: number) => (n === 1 ? "1 cell" : `${n} cells`),
    asking: "Fetching the cells.",
    failed: "The list of cells did not come.",
    asks: (cell: string, sentence: string) => `${cell}: ${sentence}`,
    more: (n: number) => `${n} more ${n === 1 ? "cell asks" : "cells ask"} for something; see below.`,
    unknown: (names: string, n: number) =>
      `${names} ${n === 1 ? "sends" : "send"} nothing, so ${n === 1 ? "its" : "their"} state is not known.`,
    allCalm: (n: number) => (n === 1 ? "No action asked." : `No action asked at any of the ${n} cells.`),
    calm: (names: string) => `${names}: no action asked.`,
    drawing: (n: number) => `The run so far, ${n} temperatures`,
    liquidus: "liquidus",
    board: (values: string) => `board ${values}`,
    boardLast: (values: string, age: string) => `board last ${values}, ${age} ago`,
    vapour: (value: string) => `vapour ${value}`,
    course: (elapsed: string, usual: string) => `${elapsed} of about ${usual}`,
    last: (run: number, verdict: string) => `last run ${run}: ${verdict}`,
  },
  /** The last two names of a list. */
  and: (first: string, last: string) => `${first} and ${last}`,
};
