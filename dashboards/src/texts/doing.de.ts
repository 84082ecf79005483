import type { doingEn } from "./doing.en";

/** German words for what people do at a page. */
export const doingDe: typeof doingEn = {
  ask: {
    by: "Ihr Name",
    byNeeded: "Namen angeben: die Aufzeichnung sagt, wer es war.",
    mayBeEmpty: "darf leer bleiben",
    cancel: "Abbrechen",
    sending: "Wird gesendet",
    notSent: "Nicht gesendet: der Dienst hat nicht geantwortet. Das Getippte steht noch hier.",
  },
  decide: {
    label: "Entscheiden",
    asked: "wird geholt",
    unknown: "unbekannt: der Dienst hat nicht geantwortet",
    short: {
      release: "Freigeben",
      hold: "Sperren",
      inspect: "Prüfen",
      // Where five buttons stand side by side a long word goes on in a second line.
      rework: "Nach\u00adarbeit",
      scrap: "Ver\u00adschrotten",
    },
    title: {
      release: (run) => `Baugruppen von Lauf ${run} freigeben`,
      hold: (run) => `Baugruppen von Lauf ${run} sperren`,
      inspect: (run) => `Baugruppen von Lauf ${run} prüfen lassen`,
      rework: (run) => `Baugruppen von Lauf ${run} nacharbeiten lassen`,
      scrap: (run) => `Baugruppen von Lauf ${run} verschrotten`,
    },
    answer: {
      release: "Freigabe eintragen",
      hold: "Sperre eintragen",
      inspect: "Prüfung eintragen",
      rework: "Nacharbeit eintragen",
      scrap: "Verschrottung eintragen",
    },
    detail:
      "Sie steht neben dem Urteil und ändert es nicht. Eine spätere Entscheidung kann darüber stehen; gelöscht wird keine.",
    again: (what, by) => `Bisher: ${what}, von ${by}. Das bleibt aufgezeichnet; die neue Entscheidung steht darüber.`,
    what: "welche Lötstellen, auf welchen Baugruppen",
    whatNeeded: "Die zu prüfenden Lötstellen nennen, etwa „U3 auf Baugruppe 2 und 4“.",
    reason: "warum",
    reasonNeeded: "In wenigen Worten sagen, warum.",
    reference: "Nummer des Dokuments, auf dem sie beruht",
    by: (by, at) => `von ${by}, ${at}`,
    before: (n) => (n === 1 ? "1 frühere Entscheidung" : `${n} frühere Entscheidungen`),
    waiting: "Entscheidung",
    search: {
      "": "jede Entscheidung",
      waiting: "wartet auf jemanden",
      release: "freigegeben",
      hold: "gesperrt",
      inspect: "zu prüfen",
      rework: "nachzuarbeiten",
      scrap: "verschrottet",
    },
    waits: (n, more) =>
      `${more ? `Mindestens ${n} Läufe warten` : n === 1 ? "1 Lauf wartet" : `${n} Läufe warten`} auf eine Entscheidung.`,
    waitsNone: "Kein Lauf wartet auf eine Entscheidung.",
    waitsDetail: "Nicht bestanden und noch nicht entschieden, oder seither gesperrt oder zu prüfen.",
  },
  record: {
    heading: "Angaben",
    button: "Bearbeiten",
    asking: "Die Angaben werden geholt.",
    failed: "Die Angaben kamen nicht: der Dienst hat nicht geantwortet.",
    byMachine: (recipe) => `${recipe}, laut Maschine`,
    empty: "Zu diesem Lauf hat noch niemand etwas angegeben.",
    edit: (run) => `Angaben zu Lauf ${run}`,
    editDetail: "Jede Änderung bleibt mit ihrem Verfasser erhalten. Was stehen bleibt, ändert sich nicht.",
    answer: "Änderungen speichern",
    reason: "warum geändert wird",
    changed: (n) => (n === 1 ? "einmal geändert" : `${n}-mal geändert`),
    change: (field, from, to) => `${field} von „${from}“ auf „${to}“`,
    fields: {
      product: "Produkt",
      serials: "Seriennummern",
      load: "Baugruppen",
      recipe: "Programm",
      position: "Platz",
      pasteLot: "Pastencharge",
      pasteOpened: "Paste in Gebrauch seit",
      floorLifeEnds: "Verarbeitungszeit endet",
      operator: "Bediener",
      sensors: "Fühler",
      remarks: "Bemerkungen",
    },
  },
  annotate: {
    button: "Vermerken",
    title: (time) => `Was war bei ${time}`,
    detail: "Es steht an dieser Stelle der Kurven und in den Angaben zum Lauf.",
    text: "was gesehen oder getan wurde",
    needed: "Ein paar Worte schreiben.",
    answer: "Eintragen",
  },
  likeness: {
    asked: (carrier) => `Träger ${carrier}: wird mit den freigegebenen Läufen verglichen.`,
    consistent: (carrier, runs) =>
      `Träger ${carrier}: wie die ${runs} freigegebenen Läufe seiner Art. Keine Baugruppentemperatur wurde gemessen.`,
    differs: (carrier, runs, figure, value, low, high) =>
      `Träger ${carrier} weicht von ${runs} freigegebenen Läufen ab: ${figure} ${value}, sonst ${low} bis ${high}.`,
    notComparable: (carrier) => `Träger ${carrier}: nicht vergleichbar. Keine Baugruppentemperatur wurde gemessen.`,
    fewRuns: (runs) =>
      runs === 0
        ? "Noch kein freigegebener Lauf mit gleichem Produkt, Programm und gleicher Beladung; 5 werden gebraucht."
        : `${runs === 1 ? "1 freigegebener Lauf" : `${runs} freigegebene Läufe`} mit gleichem Produkt, Programm und gleicher Beladung; 5 werden gebraucht.`,
    more: (n) => `${n} ${n === 1 ? "weiterer Kennwert liegt" : "weitere Kennwerte liegen"} außerhalb.`,
    decisionNeeded: "Ein Mensch entscheidet.",
    unknown: (carrier) => `Träger ${carrier}: keine Baugruppentemperatur wurde gemessen, also wurde nichts bewertet.`,
    compared: "Verglichen wurden Dampf, Vakuum und Zeiten.",
  },
};
