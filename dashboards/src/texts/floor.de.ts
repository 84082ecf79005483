import type { floorEn } from "./floor.en";

/** German words of the floor. */
export const floorDe: typeof floorEn = {
  floor: {
    heading: "Halle",
    count: (n) => (n === 1 ? "1 Zelle" : `${n} Zellen`),
    asking: "Die Zellen werden geholt.",
    failed: "Die Liste der Zellen kam nicht.",
    asks: (cell, sentence) => `${cell}: ${sentence}`,
    more: (n) => `${n} weitere ${n === 1 ? "Zelle verlangt" : "Zellen verlangen"} etwas; siehe unten.`,
    unknown: (names, n) => `${names} ${n === 1 ? "sendet" : "senden"} nichts, ihr Zustand ist unbekannt.`,
    allCalm: (n) => (n === 1 ? "Kein Eingriff verlangt." : `An keiner der ${n} Zellen ist ein Eingriff verlangt.`),
    calm: (names) => `${names}: kein Eingriff verlangt.`,
    drawing: (n) => `Der Lauf bis jetzt, ${n} Temperaturen`,
    liquidus: "Liquidus",
    board: (values) => `Baugruppe ${values}`,
    boardLast: (values, age) => `Baugruppe zuletzt ${values}, vor ${age}`,
    vapour: (value) => `Dampf ${value}`,
    course: (elapsed, usual) => `${elapsed} von etwa ${usual}`,
    last: (run, verdict) => `letzter Lauf ${run}: ${verdict}`,
  },
  and: (first, last) => `${first} und ${last}`,
};
