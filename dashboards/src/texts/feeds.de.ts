import type { feedsEn } from "./feeds.en";

/** Wörter der Weitergabe. */
export const feedsDe: typeof feedsEn = {
  feeds: {
    heading: "Weitergabe",
    count: (n) => (n === 1 ? "1 Empfänger" : `${n} Empfänger`),
    asking: "Die Liste der Empfänger wird geholt.",
    failed: "Die Liste der Empfänger kam nicht.",
    none: "Dieser Dienst gibt nichts weiter.",
    noneDetail: "Empfänger stehen unter „feeds“ in der Konfiguration.",
    within: (n, lag) =>
      n === 1
        ? `Die Weitergabe ist ${lag} hinter der Aufzeichnung.`
        : `Alle ${n} Weitergaben sind höchstens ${lag} hinter der Aufzeichnung.`,
    withinDetail: "Was die Gegenseite noch nicht bestätigt hat, zählt als Rückstand.",
    notLetIn: (id) => `${id} wird nicht eingelassen.`,
    notLetInDetail: (words) => `Grund: ${words} Den Zugang richten lassen; es wird von selbst wieder versucht.`,
    behind: (id, lag) => `${id} ist ${lag} im Rückstand.`,
    behindDetail: (words) => `Grund: ${words} Was inzwischen aufgezeichnet wird, folgt danach.`,
    behindQuiet: "Was inzwischen aufgezeichnet wird, folgt danach.",
    refused: (id, n) => (n === 1 ? `1 Zeile von ${id} wurde abgelehnt.` : `${n} Zeilen von ${id} wurden abgelehnt.`),
    refusedDetail: (words) =>
      `Die Gegenseite sagt: ${words} Die Ursache dort beheben lassen, dann die Zeilen erneut senden oder verwerfen.`,
    paused: (id) => `${id} ist angehalten.`,
    pausedDetail: (lag) => `Der älteste wartende Wert ist ${lag} alt.`,
    kinds: { influx: "Zeilenprotokoll", mqtt: "MQTT", sparkplug: "Sparkplug B", webhook: "Webhook" },
    states: {
      sending: "sendet",
      waiting: "wartet auf den nächsten Versuch",
      refused: "nicht eingelassen",
      paused: "angehalten",
    },
    state: "Zustand",
    lag: "Rückstand",
    limit: (limit) => `Alarm ab ${limit}`,
    backlog: "Wartende Einträge",
    attempts: (n) => (n === 1 ? "1 vergeblicher Versuch" : `${n} vergebliche Versuche`),
    why: "Grund",
    lastError: "Die Gegenseite sagt",
    precision: "Zeiten gehen in",
    precisions: [
      ["ms", "ms; Feineres wird abgeschnitten, zur Vergangenheit hin"],
      ["us", "µs; Feineres wird abgeschnitten, zur Vergangenheit hin"],
      ["ns", "ns: die 100 ns der Aufzeichnung vollständig"],
      ["the record", "100 ns, wie die Aufzeichnung sie hat"],
    ],
    deviceOf: (device, cell) => `${device} von Zelle ${cell}`,
    ownPace: (devices) =>
      `Beim eigenen Takt von ${devices} können Messungen dieselbe Zeit haben: Die Gegenseite behält eine davon.`,
    sharedTimes: (n) =>
      n === 1
        ? "1 Messung seit dem Start hat die Zeit der vorigen."
        : `${n} Messungen seit dem Start haben die Zeit der vorigen.`,
    inFull: "Mit „precision“: „ns“ gehen Zeiten vollständig; die Aufzeichnung hat jede Messung.",
    cells: "Zellen",
    lastHour: "Rückstand, letzte Stunde",
    worst: (lag) => `höchstens ${lag}`,
    notYet: "noch kein Wert der letzten Stunde",
    past: "Vergangenes",
    progress: (share, lane) => `${share} von ${lane} gesendet`,
    owed: "ein Rückstand; neue Werte gehen daneben her",
    refusedLines: "Abgelehnte Zeilen",
    noneRefused: "keine",
    since: (n, since) => `${n}, die älteste von ${since}`,
    resending: (n) => (n === 1 ? "1 wird erneut gesendet" : `${n} werden erneut gesendet`),
    show: "Zeigen",
    hide: "Einklappen",
    more: "Spätere",
    asFile: "Als Datei",
    time: "Abgelehnt um",
    line: "Wie gesendet",
    words: "Was gesagt wurde",
    fetching: "Sie werden geholt.",
    from: "ab wann (Zeit dieses Browsers)",
    fromNeeded: "Tag und Uhrzeit angeben, ab wann erneut gesendet wird.",
    to: "bis wann; sonst bis zu dem, was schon gesendet ist",
    toWrong: "Das Ende liegt vor dem Anfang.",
    reason: "warum",
    reasonNeeded: "In wenigen Worten sagen, warum.",
    orders: {
      pause: {
        button: "Anhalten",
        title: "Die Weitergabe anhalten",
        detail: (id) =>
          `${id} sendet nichts mehr, bis jemand fortsetzt, auch nach einem Neustart. Was inzwischen aufgezeichnet wird, folgt dann.`,
        answer: "Jetzt anhalten",
      },
      resume: {
        button: "Fortsetzen",
        title: "Die Weitergabe fortsetzen",
        detail: (id) => `${id} macht dort weiter, wo angehalten wurde.`,
        answer: "Jetzt fortsetzen",
      },
      backfill: {
        button: "Vergangenes senden",
        title: "Ein Stück der Vergangenheit noch einmal senden",
        detail: (id) =>
          `${id} sendet es neben neuen Werten, die immer vorgehen. Die Gegenseite sieht ein zweites Mal, was sie schon hatte.`,
        answer: "Senden",
      },
      "backfill/cancel": {
        button: "Abbrechen",
        title: "Nichts Vergangenes mehr senden",
        detail: (id) => `${id} belässt es bei dem, was gesendet ist. Ein Rückstand, der noch aussteht, geht weiter.`,
        answer: "Nicht mehr senden",
      },
      "quarantine/retry": {
        button: "Erneut senden",
        title: "Die abgelehnten Zeilen erneut senden",
        detail: (id) =>
          `${id} sendet alle noch einmal. Was wieder abgelehnt wird, bleibt hier, mit dem, was dann gesagt wird.`,
        answer: "Alle senden",
      },
      "quarantine/discard": {
        button: "Verwerfen",
        title: "Die abgelehnten Zeilen verwerfen",
        detail: (id) => `Alle abgelehnten Zeilen von ${id} sind dann endgültig fort. Ihre Werte bleiben aufgezeichnet.`,
        answer: "Alle verwerfen",
      },
      "quarantine/acknowledge": {
        button: "Gesehen",
        title: "Sagen, dass jemand sie gesehen hat",
        detail: (id) => `Die abgelehnten Zeilen von ${id} bleiben hier. Kommen weitere, ist es wieder ein Alarm.`,
        answer: "Gesehen",
      },
    },
  },
};
