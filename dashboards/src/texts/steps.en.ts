/** Words for the path to a first run, and for how the record stands. The rules are those of `en.ts`. */
export const stepsEn = {
  steps: {
    heading: "Before the first run",
    done: "proven now",
    next: "next",
    later: "later",
    andMore: (names: string, n: number) => `${names} and ${n} more`,
    names: {
      line: "Line",
      devices: "Devices",
      channels: "Channels",
      sensors: "Sensor check",
      spec: "Spec",
    },
    /** What to do for a step that is not proven. */
    help: {
      line: "Check the adapter or the network cable, and the line’s address, speed and parity in the configuration. “thermowatch probe” asks each device once and says what is wrong.",
      devices:
        "Check their supply, and their addresses in the configuration; “thermowatch probe --device ID” asks one alone.",
      channels: "Check which register or input each channel names in the configuration.",
      sensors:
        "While the boards lie cold outside the machine, warm one bead after another with the fingers: its own number must rise.",
      spec: "Name a spec for the product in the configuration. Without one, runs are recorded and none is judged.",
    },
    lineHeard: "Something answers on the line.",
    lineSilent: "Nothing answers on the line.",
    noDevices: "The configuration names no device.",
    allAnswer: (n: number) => (n === 1 ? "The device answers." : `All ${n} devices answer.`),
    silent: (names: string, answering: number, all: number) => `${answering} of ${all} answer. Silent: ${names}.`,
    noChannels: "The configuration names no channel.",
    allRead: (n: number) => (n === 1 ? "The channel gives readings." : `All ${n} channels give readings.`),
    notReading: (names: string, reading: number, all: number) =>
      `${reading} of ${all} give readings. Nothing from ${names}.`,
    allGood: (n: number) => (n === 1 ? "Its readings are good." : `All ${n} read good.`),
    boards: (low: string, high: string) => `Boards ${low} to ${high}.`,
    doubtful: (names: string) => `Not good: ${names}.`,
    noSpec: "No spec: runs will be recorded, and none judged.",
    spec: (name: string, version: number, limits: number) =>
      `${name}, version ${version}, ${limits === 1 ? "1 limit" : `${limits} limits`}.`,
  },
  room: {
    low: (span: string) => `The disk of the record is nearly full: room for about ${span}.`,
    lowUnknown: "The disk of the record is nearly full.",
    free: (size: string) => `${size} free.`,
    remedy: "Tell plant IT: when it is full, runs can no longer be recorded.",
    days: (n: number) => (n === 1 ? "1 day" : `${n} days`),
    hours: (n: number) => (n === 1 ? "1 hour" : `${n} hours`),
    waiting: (entries: number) => `${entries} entries wait in memory for the disk.`,
    lost: (entries: number) => `${entries} entries were lost since the service began.`,
  },
};
