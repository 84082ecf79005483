import type { codesEn } from "./codes.en";

/** Das Blatt mit Codes. */
export const codesDe: typeof codesEn = {
  codes: {
    heading: "Codes für einen Scanner",
    button: "Codes für einen Scanner",
    how: "Diese Seite drucken und am Bedienfeld aufhängen. Der Scanner muss sich wie eine Tastatur verhalten und jeden Code mit Enter abschließen. Eine Entscheidung mit Codes: die Entscheidung, warum, der eigene Name, dann Senden.",
    people: "Namen, einer je Zeile",
    reasons: "Gründe, einer je Zeile",
    usualReasons: "alle Grenzen erfuellt\nQualitaet soll es ansehen",
    by: (name) => `Name: ${name}`,
    why: (reason) => `Warum: ${reason}`,
    cannot: "Ein Code fasst Buchstaben A bis Z ohne Umlaute, Ziffern und Zeichen.",
    actions: {
      SEEN: "Ich habe es gesehen",
      RELEASE: "Freigeben",
      HOLD: "Sperren",
      INSPECT: "Prüfen",
      REWORK: "Nacharbeiten",
      SCRAP: "Verschrotten",
      SEND: "Senden",
      CELL: "Zelle",
      FLOOR: "Halle",
      RUNS: "Läufe",
      ALARMS: "Alarme",
    },
  },
};
