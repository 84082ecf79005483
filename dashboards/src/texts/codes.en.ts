/** Words for the sheet of codes. The rules are those of `en.ts`. */
export const codesEn = {
  codes: {
    heading: "Codes for a scanner",
    button: "Codes for a scanner",
    how: "Print this page and hang it up at the panel. The scanner must act as a keyboard and end each code with Enter. A decision by codes: the decision, why, your name, then Send.",
    people: "names, one a line",
    reasons: "reasons, one a line",
    usualReasons: "all limits met\nto be looked at by quality",
    by: (name: string) => `Name: ${name}`,
    why: (reason: string) => `Why: ${reason}`,
    cannot: "A code holds letters A to Z without accents, digits and signs.",
    actions: {
      SEEN: "I have seen it",
      RELEASE: "Release",
      HOLD: "Hold",
      INSPECT: "Inspect",
      REWORK: "Rework",
      SCRAP: "Scrap",
      SEND: "Send",
      CELL: "Cell",
      FLOOR: "Floor",
      RUNS: "Runs",
      ALARMS: "Alarms",
    },
  },
};
