import type { upkeepEn } from "./upkeep.en";

/** Was lange dauert oder nicht zurückzunehmen ist. */
export const upkeepDe: typeof upkeepEn = {
  rejudge: {
    button: "Alle noch einmal bewerten",
    title: "Alle Läufe noch einmal bewerten",
    detail:
      "Nach den Regeln dieses Programms von heute und, falls ein Kanal gewählt ist, so als hätte er zu hoch gelesen. Die Urteile von damals bleiben; was herauskommt, steht daneben.",
    channel: "Kanal, der zu hoch las",
    noChannel: "keiner",
    high: "um wie viel, in K oder mbar; mit Minus für zu tief",
    highNeeded: "Angeben, um wie viel der Kanal zu hoch las, etwa 3,1.",
    reason: "warum",
    reasonNeeded: "In wenigen Worten sagen, warum.",
    answer: "Bewerten",
    going: (done, total) => `Wird noch einmal bewertet: ${done} von ${total} Läufen.`,
    left: (span) => `Noch etwa ${span}.`,
    leftUnknown: "Wie lange es dauert, ist noch nicht bekannt.",
    soFar: (other) => `Bisher ${other} mit anderem Urteil.`,
    unheard: "Der Dienst hat nicht geantwortet; dort geht es weiter.",
    cancelled: (done, total) =>
      `Nach ${done} von ${total} Läufen beendet. Was bis dahin bewertet war, wird nicht behalten.`,
    failed: (why) => `Es konnte nicht weitergehen: ${why}`,
    done: (total, other) =>
      `${total === 1 ? "1 Lauf" : `${total} Läufe`} noch einmal bewertet: ${other === 0 ? "jeder hat sein Urteil von damals" : other === 1 ? "1 hat ein anderes Urteil" : `${other} haben ein anderes Urteil`}.`,
    kept: "Die Urteile von damals bleiben, wie sie waren.",
    moved: (before, after) => `${before}, jetzt ${after}`,
    more: (n) => `und ${n} weitere`,
    close: "Schließen",
  },
  deletion: {
    button: "Seine Werte löschen",
    asking: "Es wird gefragt, was verloren wäre.",
    title: (run) => `Die Werte von Lauf ${run} löschen`,
    lost: (entries, size) =>
      `Für immer verloren: ${entries} Einträge roher Werte, ${size}. Seine Kurven können dann nicht mehr gezeichnet, ausgegeben oder bewertet werden. Das lässt sich nicht zurücknehmen.`,
    kept: "Es bleiben: seine Kennwerte, Urteil und Phasen, seine Alarme, was Menschen zu ihm gesagt und entschieden haben, und diese Entscheidung.",
    stay: (entries) => `${entries} Einträge bleiben, weil ein anderer Lauf sie braucht.`,
    typed: (run) => `zur Bestätigung die Nummer des Laufs eingeben: ${run}`,
    typedNeeded: (run) => `${run} eingeben, die Nummer des Laufs, dessen Werte gelöscht werden.`,
    reason: "warum",
    reasonNeeded: "In wenigen Worten sagen, warum: Es steht dann im Protokoll.",
    answer: "Für immer löschen",
    done: (run) => `Die Werte von Lauf ${run} sind gelöscht.`,
  },
};
