import type { promptEn } from "./prompt.en";

/** German: the sentence on top, and what stands under it. */
export const promptDe: typeof promptEn = {
  prompt: {
    label: "Hinweis",
    opening: "Verbindung zum Dienst wird aufgebaut.",
    openingFor: (age) => `Seit ${age} keine Antwort vom Dienst.`,
    openingDetail: "Was unten steht, ist noch unbekannt.",
    askingIn: (wait) => `Neuer Versuch in ${wait}.`,
    askingNow: "Neuer Versuch läuft.",
    lost: (at) => `Diese Seite hat den Dienst um ${at} verloren.`,
    lostDetail: (age) =>
      `Was unten steht, ist ${age} alt. Ob dort aufgezeichnet wird, ist von hier aus unbekannt. Auf die Anzeige der Maschine schauen.`,
    filling: "Was diese Seite verpasst hat, wird geholt.",
    noChannels: "Noch nichts verdrahtet.",
    noChannelsDetail: "In der Konfiguration mindestens ein Gerät und einen Kanal nennen.",
    deviceDown: (device, age) => `Seit ${age} keine Daten von ${device}.`,
    deviceDownUnknown: (device) => `Noch keine Daten von ${device}.`,
    deviceDetail: (reason) => `Die Werte davon sind alt. ${reason}`,
    deviceRemedy: "Stecker und Versorgung prüfen.",
    stale: (age) => `Seit ${age} keine Messwerte.`,
    staleDetail: "Die Werte unten sind alt. Die Geräte melden keine Störung.",
    calm: "Kein Eingriff verlangt.",
    next: (what, time) => `${what} in etwa ${time}.`,
    overdue: (what, age) => `${what} beginnt sonst ${age} früher, bisher nicht gesehen.`,
    inPhase: (carrier, phase) => `Träger ${carrier}: ${phase}.`,
    started: (carrier) => `Träger ${carrier} ist im Prozess.`,
    usual: (elapsed, length) => `${elapsed} von sonst ${length}.`,
    noUsual: "Wie lange ein Lauf hier dauert, lehren die ersten guten.",
    someBad: (names) => `Kein bewerteter Messwert von ${names}.`,
    noReadings: "Noch keine Messwerte.",
    noReadingsDetail: "Der Dienst antwortet; seine Geräte haben noch nichts gemeldet.",
    waitingFirst: "Warten auf den ersten Lauf.",
    waitingDetail:
      "Messwerte kommen an und werden aufgezeichnet. Ein Lauf beginnt von selbst, wenn die Baugruppen warm werden.",
    ended: (run, at) => `Lauf ${run} endete um ${at}.`,
    verdict: {
      pass: (limits) => `Bestanden: ${limits === 1 ? "die Grenze ist" : `alle ${limits} Grenzen sind`} eingehalten.`,
      fail: (reason) => `Nicht bestanden: ${reason}.`,
      undetermined: (reason) => `Unbestimmt: ${reason}.`,
      none: "Kein Urteil: nichts wurde bewertet.",
    },
    nothingSaid: "die Aufzeichnung nennt keinen Grund",
    endReasons: {
      abandoned: "Er wurde nach der längsten erlaubten Zeit aufgegeben.",
      leftInMachine: "Die Baugruppen blieben in der Maschine.",
      unplugged: "Die Fühler wurden abgesteckt.",
    },
    now: (readings) => `Jetzt ${readings}.`,
  },
};
