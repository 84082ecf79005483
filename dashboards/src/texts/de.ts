import { alarmsDe } from "./alarms.de";
import { chartDe } from "./chart.de";
import { codesDe } from "./codes.de";
import { doingDe } from "./doing.de";
import type { Texts } from "./en";
import { feedsDe } from "./feeds.de";
import { figuresDe } from "./figures.de";
import { floorDe } from "./floor.de";
import { ordersDe } from "./orders.de";
import { promptDe } from "./prompt.de";
import { runOrdersDe } from "./runOrders.de";
import { runsDe } from "./runs.de";
import { stepsDe } from "./steps.de";
import { upkeepDe } from "./upkeep.de";

/** German as it is spoken at the line. The same rules as for English; see there. */
export const de: Texts = {
  ...doingDe,
  ...ordersDe,
  ...floorDe,
  ...feedsDe,
  ...stepsDe,
  ...codesDe,
  ...upkeepDe,
  ...alarmsDe,
  ...promptDe,
  ...chartDe,
  ...figuresDe,
  ...runsDe,
  ...runOrdersDe,
  language: "de",
  lower: (name) => name,
  product: "ThermoWatch",
  title: (cell, demo) => `${demo ? "Demo · " : ""}${cell} · ThermoWatch`,
  demo: "Demo: alles hier ist simuliert",
  demoShort: "Demo, simuliert",
  places: {
    floor: "Halle",
    cell: "Zelle",
    runs: "Läufe",
    alarms: "Alarme",
    feeds: "Weitergabe",
    label: "Bereiche",
    fetching: "Diese Seite wird geholt.",
    notFetched: "Diese Seite ließ sich nicht holen.",
  },
  urgent: "Jetzt:",
  keysHint: "? zeigt Tasten und Einheiten",
  head: {
    carrier: (carrier) => `Träger ${carrier}`,
    carrierName: (carrier) => `Träger ${carrier}`,
    coolest: (name) => `kälteste: ${name}`,
    run: (number) => `Lauf ${number}`,
    age: (age) => `Messwerte ${age} alt`,
    ageShort: (age) => `${age} alt`,
    good: (good, all) => `${good} von ${all} gut`,
    noReadings: "noch keine Messwerte",
  },
  look: {
    theme: { auto: "wie das System", light: "hell", dark: "dunkel", contrast: "hoher Kontrast" },
    button: "Darstellung",
  },
  settings: {
    language: "Sprache",
    languages: { en: "English", de: "Deutsch" },
    temperature: "Temperatur",
    pressure: "Druck",
    times: "Zeiten",
    local: "Ortszeit",
    utc: "UTC",
    button: "Tasten und Einheiten",
  },
  channels: {
    heading: (time) => `jetzt ${time}`,
    old: (age) => `${age} alt`,
  },
  keys: {
    heading: "Tasten",
    close: "Schließen",
    list: [
      ["?", "diese Liste"],
      ["A", "Den obersten Alarm habe ich gesehen"],
      ["W", "was ich wegen des obersten Alarms getan habe"],
      ["R", "was vom Lauf gesagt wird: dass er beginnt, endet, wozu er dient, dass jemand gehandelt hat"],
      ["L", "Darstellung wechseln: wie das System, hell, dunkel, hoher Kontrast"],
      ["← →", "Cursor um 1 s bewegen, mit Umschalttaste um 10 s"],
      ["C", "der andere Träger"],
      ["M", "vom Cursor aus messen: Zeit, Unterschied und Steigung des hervorgehobenen Kanals"],
      ["+ −", "näher, weiter; Ziehen über die Kurven zeigt diesen Abschnitt"],
      [", .", "früher, später, solange man näher hinsieht; Ziehen mit Umschalttaste tut es auch"],
      ["0", "der ganze Lauf"],
      ["F", "das Bild anhalten und weiterlaufen lassen"],
      ["↑ ↓", "durch die Kanäle oder die Zeilen einer Liste; der gewählte tritt hervor"],
      ["P N", "voriger Lauf, nächster Lauf"],
      ["/", "unter den Läufen suchen"],
      ["U", "Zeiten in UTC, und zurück"],
      ["F8", "ein verdrahteter Taster: der oberste Alarm ist gesehen, oder der beendete Lauf wird freigegeben"],
      [
        "%",
        "ein gescannter Code: SEEN, RELEASE, HOLD, INSPECT, REWORK, SCRAP, BY-Name, WHY-Worte, SEND, FLOOR, CELL, RUNS, ALARMS oder die Seriennummer einer Baugruppe",
      ],
      ["Esc", "zurück"],
    ],
  },
};
