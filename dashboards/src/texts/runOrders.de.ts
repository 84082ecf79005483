import type { runOrdersEn } from "./runOrders.en";

/** Was Menschen von einem Lauf sagen, solange er geht. */
export const runOrdersDe: typeof runOrdersEn = {
  runOrders: {
    control: "Zum Lauf",
    notFetched: "Lauf: nicht geladen, noch einmal drücken",
    heading: "Was vom Lauf gesagt wird",
    switchesNothing: "Es kommt in die Aufzeichnung und schaltet nichts an der Maschine.",
    none: "es geht kein Lauf",
    goesOn: (run, kind) => `Lauf ${run} geht: ${kind}`,
    button: {
      begin: "Ein Lauf beginnt",
      intervention: "Jemand hat gehandelt",
      kind: "Wozu er dient",
      end: "Der Lauf endet",
    },
    title: {
      begin: (carrier, _run) => `Ein Lauf von Träger ${carrier} beginnt`,
      intervention: (carrier, run) => `Jemand hat während Lauf ${run} von Träger ${carrier} gehandelt`,
      kind: (carrier, run) => `Wozu Lauf ${run} von Träger ${carrier} dient`,
      end: (carrier, run) => `Lauf ${run} von Träger ${carrier} endet jetzt`,
    },
    detail: {
      begin: "Für Maschinen, die durch kein Signal sagen, dass ein Lauf beginnt.",
      intervention:
        "Der Lauf sagt von jetzt an, dass jemand gehandelt hat; Ihre Worte bleiben im Protokoll dessen, was Menschen tun.",
      kind: "Was gelesen wurde, bleibt, wie es ist; das Protokoll behält, wer es gesagt hat.",
      end: "Der Lauf wird nach dem bewertet, was bis jetzt gelesen wurde, und kann danach nicht weitergehen.",
    },
    answer: {
      begin: "Beginn festhalten",
      intervention: "Festhalten",
      kind: "Festhalten",
      end: "Ende festhalten",
    },
    what: "wozu der Lauf dient",
    byReadings: "wie die Messwerte zeigen",
    kinds: {
      profile: "Profil",
      verification: "Überprüfung",
      production: "Fertigung",
      empty: "ohne Baugruppen",
      maintenance: "Wartung",
    },
    recipe: "Nummer des Rezepts",
    done: "was an der Maschine getan wurde",
    doneNeeded: "Sagen Sie in wenigen Worten, was getan wurde.",
    otherwise: "Nicht festgehalten: Der Träger steht inzwischen anders.",
    busy: "Nicht festgehalten: Der Dienst ist beschäftigt. Was Sie getippt haben, steht noch hier; senden Sie es noch einmal.",
  },
};
