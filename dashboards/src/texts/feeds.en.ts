/** Words of the feeds. The rules are those of `en.ts`. */
export const feedsEn = {
  feeds: {
    heading: "Feeds",
    count: (n: number) => (n === 1 ? "1 feed" : `${n} feeds`),
    asking: "Fetching the feeds.",
    failed: "The list of feeds did not come.",
    none: "This service has no feeds.",
    noneDetail: "They are described under “feeds” in the configuration.",
    within: (n: number, lag: string) =>
      n === 1 ? `The feed is ${lag} behind the record.` : `All ${n} feeds are at most ${lag} behind the record.`,
    withinDetail: "What the other side has not confirmed yet counts as behind.",
    notLetIn: (id: string) => `${id} is not let in.`,
    notLetInDetail: (words: string) => `Reason: ${words} Have its access put right; it is tried again by itself.`,
    behind: (id: string, lag: string) => `${id} is ${lag} behind.`,
    behindDetail: (words: string) => `Reason: ${words} What is recorded meanwhile is sent afterwards.`,
    behindQuiet: "What is recorded meanwhile is sent afterwards.",
    refused: (id: string, n: number) =>
      n === 1 ? `1 line of ${id} was refused.` : `${n} lines of ${id} were refused.`,
    refusedDetail: (words: string) =>
      `The other side says: ${words} Have it put right there, then send the lines again or discard them.`,
    paused: (id: string) => `${id} is paused.`,
    pausedDetail: (lag: string) => `The oldest value that waits is ${lag} old.`,
    kinds: { influx: "line protocol", mqtt: "MQTT", sparkplug: "Sparkplug B", webhook: "webhook" } as Record<
      string,
      string
    >,
    states: {
      sending: "sending",
      waiting: "waiting to try again",
      refused: "not let in",
      paused: "paused",
    } as Record<string, string>,
    state: "State",
    lag: "Behind",
    limit: (limit: string) => `alarm from ${limit} on`,
    backlog: "Entries that wait",
    attempts: (n: number) => (n === 1 ? "1 failed attempt" : `${n} failed attempts`),
    why: "Reason",
    lastError: "The other side says",
    precision: "Times are sent in",
    precisions: [
      ["ms", "ms; finer parts are cut off, towards the past"],
      ["us", "µs; finer parts are cut off, towards the past"],
      ["ns", "ns: the 100 ns of the record in full"],
      ["the record", "100 ns, as the record has them"],
    ] as readonly (readonly [string, string])[],
    deviceOf: (device: string, cell: number) => `${device} of cell ${cell}`,
    ownPace: (devices: string) =>
      `At the pace of ${devices} scans may have one time: the other side keeps one of them.`,
    sharedTimes: (n: number) =>
      n === 1
        ? "1 scan since the start has the time of the one before."
        : `${n} scans since the start have the time of the one before.`,
    inFull: "With “precision”: “ns” times go in full; the record has every scan.",
    cells: "Cells",
    lastHour: "Behind, last hour",
    worst: (lag: string) => `worst ${lag}`,
    notYet: "no value of the last hour yet",
    past: "The past",
    progress: (share: string, lane: string) => `${share} of ${lane} sent`,
    owed: "a backlog; live values go beside it",
    refusedLines: "Refused lines",
    noneRefused: "none",
    since: (n: number, since: string) => `${n}, the oldest from ${since}`,
    resending: (n: number) => (n === 1 ? "1 is being sent again" : `${n} are being sent again`),
    show: "Show",
    hide: "Hide",
    more: "Later ones",
    asFile: "As a file",
    time: "Refused at",
    line: "As it was sent",
    words: "What was said",
    fetching: "Fetching them.",
    from: "from when on (time of this browser)",
    fromNeeded: "Give the day and time from which on to send again.",
    to: "until when; else until what has been sent by now",
    toWrong: "The end lies before the beginning.",
    reason: "why",
    reasonNeeded: "Say in a few words why.",
    orders: {
      pause: {
        button: "Pause",
        title: "Pause the feed",
        detail: (id: string) =>
          `${id} sends no more until somebody resumes it, also over a restart. What is recorded meanwhile is sent then.`,
        answer: "Pause it",
      },
      resume: {
        button: "Resume",
        title: "Resume the feed",
        detail: (id: string) => `${id} goes on where it stopped.`,
        answer: "Resume it",
      },
      backfill: {
        button: "Send the past",
        title: "Send a stretch of the past once more",
        detail: (id: string) =>
          `${id} sends it beside live values, which always go first. The other side sees what it had already a second time.`,
        answer: "Send it",
      },
      "backfill/cancel": {
        button: "Cancel",
        title: "Send no more of the past",
        detail: (id: string) => `${id} keeps what it has sent so far. A backlog that is still owed goes on.`,
        answer: "Send no more",
      },
      "quarantine/retry": {
        button: "Send again",
        title: "Send the refused lines again",
        detail: (id: string) => `${id} sends all of them once more. What is refused again stays, with the new words.`,
        answer: "Send them",
      },
      "quarantine/discard": {
        button: "Discard",
        title: "Discard the refused lines",
        detail: (id: string) => `All refused lines of ${id} are gone for good. Their values stay in the record.`,
        answer: "Discard them",
      },
      "quarantine/acknowledge": {
        button: "Seen",
        title: "Say that somebody has seen them",
        detail: (id: string) => `The refused lines of ${id} stay here. They are an alarm again when more come.`,
        answer: "Seen",
      },
    },
  },
};
