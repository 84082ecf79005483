import { alarmsEn } from "./alarms.en";
import { chartEn } from "./chart.en";
import { codesEn } from "./codes.en";
import { doingEn } from "./doing.en";
import { feedsEn } from "./feeds.en";
import { figuresEn } from "./figures.en";
import { floorEn } from "./floor.en";
import { ordersEn } from "./orders.en";
import { promptEn } from "./prompt.en";
import { runOrdersEn } from "./runOrders.en";
import { runsEn } from "./runs.en";
import { stepsEn } from "./steps.en";
import { upkeepEn } from "./upkeep.en";

/**
 * Every word that the pages say, in one place. Another language is another object of this shape.
 * Rules: sentence case, units always, verbs and nouns of the trade, no cause claimed that is not proven,
 * nothing that asks anyone to touch a running machine in another way than by its own control.
 */
export const en = {
  ...doingEn,
  ...ordersEn,
  ...floorEn,
  ...feedsEn,
  ...stepsEn,
  ...codesEn,
  ...upkeepEn,
  ...alarmsEn,
  ...promptEn,
  ...chartEn,
  ...figuresEn,
  ...runsEn,
  ...runOrdersEn,
  language: "en",
  /** A name inside a sentence. */
  lower: (name: string) => name.toLowerCase(),
  product: "ThermoWatch",
  title: (cell: string, demo: boolean) => `${demo ? "Demo · " : ""}${cell} · ThermoWatch`,
  demo: "Demo: everything here is simulated",
  demoShort: "Demo, simulated",
  places: {
    floor: "Floor",
    cell: "Cell",
    runs: "Runs",
    alarms: "Alarms",
    feeds: "Feeds",
    label: "Places",
    fetching: "Fetching this place.",
    notFetched: "This place could not be fetched.",
  },
  urgent: "Live now:",
  keysHint: "press ? for keys and units",
  head: {
    carrier: (carrier: string) => `carrier ${carrier}`,
    carrierName: (carrier: string) => `Carrier ${carrier}`,
    coolest: (name: string) => `coolest: ${name}`,
    run: (number: number) => `run ${number}`,
    age: (age: string) => `readings ${age} old`,
    ageShort: (age: string) => `${age} old`,
    good: (good: number, all: number) => `${good} of ${all} good`,
    noReadings: "no readings yet",
  },
  look: { theme: { auto: "as the system", light: "light", dark: "dark", contrast: "high contrast" }, button: "Look" },
  settings: {
    language: "Language",
    languages: { en: "English", de: "Deutsch" },
    temperature: "Temperature",
    pressure: "Pressure",
    times: "Times",
    local: "local",
    utc: "UTC",
    button: "Keys and units",
  },
  channels: {
    heading: (time: string) => `now ${time}`,
    old: (age: string) => `${age} old`,
  },
  keys: {
    heading: "Keys",
    close: "Close",
    list: [
      ["?", "this list"],
      ["A", "I have seen the alarm on top"],
      ["W", "what I did about the alarm on top"],
      ["R", "what is said of the run: that it begins, ends, what it is for, that somebody acted"],
      ["L", "change the look: as the system, light, dark, high contrast"],
      ["← →", "move the cursor by 1 s, with Shift by 10 s"],
      ["C", "the other carrier"],
      ["M", "measure from the cursor: time, difference and slope of the channel that stands out"],
      ["+ −", "closer, wider; dragging over the curves shows that stretch"],
      [", .", "earlier, later, while one looks closer; dragging with Shift does it too"],
      ["0", "the whole run"],
      ["F", "freeze the picture, and let it go on"],
      ["↑ ↓", "go through the channels, or the rows of a list; the one chosen stands out"],
      ["P N", "previous run, next run"],
      ["/", "search among the runs"],
      ["U", "times in UTC, and back"],
      ["F8", "a wired button: the alarm on top is seen, or the run that has ended is released"],
      [
        "%",
        "a scanned code: SEEN, RELEASE, HOLD, INSPECT, REWORK, SCRAP, BY-name, WHY-words, SEND, FLOOR, CELL, RUNS, ALARMS, or a board’s serial number",
      ],
      ["Esc", "back"],
    ] as readonly (readonly [string, string])[],
  },
};

export type Texts = typeof en;
