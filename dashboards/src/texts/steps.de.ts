import type { stepsEn } from "./steps.en";

/** Der Weg zum ersten Lauf, und wie es um die Aufzeichnung steht. */
export const stepsDe: typeof stepsEn = {
  steps: {
    heading: "Vor dem ersten Lauf",
    done: "jetzt belegt",
    next: "als Nächstes",
    later: "später",
    andMore: (names, n) => `${names} und ${n} weitere`,
    names: {
      line: "Leitung",
      devices: "Geräte",
      channels: "Kanäle",
      sensors: "Fühlerprobe",
      spec: "Vorgabe",
    },
    help: {
      line: "Adapter oder Netzkabel prüfen, und Adresse, Geschwindigkeit und Parität der Leitung in der Konfiguration. „thermowatch probe“ fragt jedes Gerät einmal und sagt, was nicht stimmt.",
      devices:
        "Versorgung prüfen, und die Adressen in der Konfiguration; „thermowatch probe --device ID“ fragt eines allein.",
      channels: "Prüfen, welches Register oder welchen Eingang jeder Kanal in der Konfiguration nennt.",
      sensors:
        "Solange die Baugruppen kalt außerhalb der Maschine liegen, eine Perle nach der anderen mit den Fingern wärmen: ihre eigene Zahl muss steigen.",
      spec: "In der Konfiguration eine Vorgabe für das Produkt nennen. Ohne sie werden Läufe aufgezeichnet und keiner bewertet.",
    },
    lineHeard: "Auf der Leitung antwortet etwas.",
    lineSilent: "Auf der Leitung antwortet nichts.",
    noDevices: "Die Konfiguration nennt kein Gerät.",
    allAnswer: (n) => (n === 1 ? "Das Gerät antwortet." : `Alle ${n} Geräte antworten.`),
    silent: (names, answering, all) => `${answering} von ${all} antworten. Still: ${names}.`,
    noChannels: "Die Konfiguration nennt keinen Kanal.",
    allRead: (n) => (n === 1 ? "Der Kanal gibt Werte." : `Alle ${n} Kanäle geben Werte.`),
    notReading: (names, reading, all) => `${reading} von ${all} geben Werte. Nichts von ${names}.`,
    allGood: (n) => (n === 1 ? "Seine Werte sind gut." : `Alle ${n} lesen gut.`),
    boards: (low, high) => `Baugruppen ${low} bis ${high}.`,
    doubtful: (names) => `Nicht gut: ${names}.`,
    noSpec: "Keine Vorgabe: Läufe werden aufgezeichnet und keiner bewertet.",
    spec: (name, version, limits) => `${name}, Fassung ${version}, ${limits === 1 ? "1 Grenze" : `${limits} Grenzen`}.`,
  },
  room: {
    low: (span) => `Die Platte der Aufzeichnung ist fast voll: Platz für etwa ${span}.`,
    lowUnknown: "Die Platte der Aufzeichnung ist fast voll.",
    free: (size) => `${size} frei.`,
    remedy: "Der Werks-IT sagen: Ist sie voll, können Läufe nicht mehr aufgezeichnet werden.",
    days: (n) => (n === 1 ? "1 Tag" : `${n} Tage`),
    hours: (n) => (n === 1 ? "1 Stunde" : `${n} Stunden`),
    waiting: (entries) => `${entries} Einträge warten im Speicher auf die Platte.`,
    lost: (entries) => `${entries} Einträge gingen seit Beginn des Dienstes verloren.`,
  },
};
