import type {
  AlarmLive,
  CellLayout,
  CellState,
  DeviceLive,
  GapLive,
  RunLive,
  ScanFrame,
} from "../../../src/feed/contract";
import type { HubEvents, OpenHub } from "../../../src/feed/hub";
import { Refusal } from "../../../src/feed/records";
import { encodeFrame } from "../../encodeFrame";
import { type RunRecord, scriptedFigures, scriptedPhases } from "./figures";
import { channels, createThermals, cycle_s, interval_s, pressureAt } from "./model";
import { ScriptedAlarms } from "./scriptedAlarms";
import { scriptedLayout } from "./scriptedLayout";

/** What a scene asks of the scripted service. */
export interface ScriptOptions {
  /** Whether a finished run stands before the one that plays. */
  readonly history: boolean;
  readonly usual: boolean;
  readonly peakLimit: number;
  readonly slowPump: boolean;
  readonly spec: boolean;
  readonly name: string;
  /** No run begins by itself. */
  readonly idle: boolean;
}

const baseMs = Date.UTC(2026, 10, 25, 13, 0, 0);

/** A service that lives in the page: it plays a computed cell and answers as the hub does. */
export class ScriptedHub {
  private readonly frames: ScanFrame[] = [];
  private events: HubEvents | null = null;
  private seq = 0;
  /** Ticks of 0.1 s since the first run began. */
  private tick = -1;
  private thermals = createThermals(1);
  private record: RunRecord = { t: [], values: channels.map(() => []) };
  private finished: RunLive | null = null;
  private runNumber = 213;
  private session = "one";
  private silentDevice: string | null = null;
  private gaps: GapLive[] = [];
  /** Channel whose thermocouple has come off; null: none has. */
  private lifted: number | null = null;
  private deviceDownSince: number | null = null;
  private readonly alarms = new ScriptedAlarms(() => this.timeMs(this.tick));
  /** `seq` of the state that the page has. */
  private sent = -1;
  private pushed = 0;
  /** The next order is refused in these words. */
  refuseOrder: string | null = null;
  /** The newest reading made hot. */
  private struck: { tick: number; channel: number } | null = null;
  private hot: { channel: number; above: number } | null = null;
  /** A channel whose sensor gives no value that counts. */
  private broken: string | null = null;
  private reachable = true;
  /** Makes another state, or another layout, of what is played. */
  alter: ((state: CellState) => CellState) | null = null;
  alterLayout: ((layout: CellLayout) => CellLayout) | null = null;
  private runStart = 0;
  /** What people said of the run that goes on. */
  private kind: RunLive["kind"] = "profile";
  private notes: readonly string[] = [];
  private begunBy: "slope" | "command" = "slope";
  /** Orders for runs that arrived. */
  readonly runOrders: object[] = [];
  readonly acknowledged = this.alarms.acknowledged;
  readonly said = this.alarms.said;

  constructor(
    private readonly options: ScriptOptions,
    readonly cell = 1,
  ) {
    this.startRun(options.history ? 213 : 1);
    if (options.idle) this.runStart = Number.MAX_SAFE_INTEGER;
    if (options.history) this.play(cycle_s + 20);
  }

  private startRun(number: number): void {
    this.runNumber = number;
    this.runStart = this.tick + 1;
    this.thermals = createThermals(number);
    this.record = { t: [], values: channels.map(() => []) };
    this.gaps = [];
    this.kind = "profile";
    this.notes = [];
    this.begunBy = "slope";
  }

  /** What a person says of the carrier's run, as the service takes it. */
  runOrder(carrier: string, order: string, said: { by: string; kind?: RunLive["kind"] | null; what?: string }): object {
    this.takeOrder(503);
    const goesOn = carrier === "B" && this.finished === null && this.record.t.length > 0;
    if (order === "begin" && goesOn)
      throw new Refusal(`Run ${this.runNumber} of carrier ${carrier} goes on; end it first.`, 409);
    if (order !== "begin" && !goesOn) throw new Refusal(`Carrier ${carrier} has no run that goes on.`, 409);
    this.runOrders.push({ carrier, order, ...said });
    const run = order === "begin" ? null : this.runNumber;
    if (order === "begin") {
      this.load();
      this.begunBy = "command";
      this.kind = said.kind ?? this.kind;
    } else if (order === "kind") this.kind = said.kind ?? this.kind;
    else if (order === "intervention") this.notes = ["intervened"];
    else this.finished = { ...this.run(true), endReason: "command" };
    this.pushState();
    return { carrier, run };
  }

  /** @throws Refusal in the words that the next order is refused in, if there are any */
  private takeOrder(status: number): void {
    const words = this.refuseOrder;
    this.refuseOrder = null;
    if (words !== null) throw new Refusal(words, status);
  }

  /** Begins a new run at this tick, as a machine signal would. */
  load(): void {
    this.startRun(this.runNumber + 1);
    this.finished = null;
    this.pushState();
  }

  private timeMs(tick: number): number {
    return baseMs + tick * interval_s * 1000;
  }

  /** Lets so many seconds pass at once; a viewer gets them by `since`, or as frames when it watches. */
  play(seconds: number): void {
    const ticks = Math.round(seconds / interval_s);
    for (let i = 0; i < ticks; i++) this.step(i === ticks - 1);
  }

  private step(last: boolean): void {
    this.tick++;
    const t = (this.tick - this.runStart) * interval_s;
    const running = this.finished === null && t >= 0 && t <= cycle_s;
    const values = this.thermals.step(Math.min(t, cycle_s + 30));
    values[channels.length - 1] = pressureAt(t, this.options.slowPump) * (1 + values[0] * 1e-6);
    if (this.hot !== null) {
      values[this.hot.channel] += this.hot.above;
      this.struck = { tick: this.tick, channel: this.hot.channel };
    }
    if (this.lifted !== null) values[this.lifted] -= 30;
    const qualities = channels.map((channel, i) =>
      channel.device === this.silentDevice ? 3 : channel.id === this.broken ? 2 : i === this.lifted ? 1 : 0,
    );
    const frame = encodeFrame(this.cell, this.seq++, this.timeMs(this.tick), values, qualities);
    if (qualities.some((quality) => quality === 0)) this.frames.push(frame);
    if (running) {
      this.record.t.push(t);
      values.forEach((value, i) => {
        this.record.values[i].push(value);
      });
      if (t > cycle_s - interval_s / 2) this.finished = this.run(true);
    }
    if (this.events !== null) {
      if (qualities.some((quality) => quality === 0)) this.events.scan(frame);
      // A single hot reading shows to be a spike beside the one that follows it.
      if (this.hot === null && this.struck?.tick === this.tick - 1) {
        const { id } = channels[this.struck.channel];
        this.events.mark({
          cell: this.cell,
          channel: id,
          t: this.timeMs(this.struck.tick),
          quality: "uncertain:spike",
        });
      }
      if (last || this.tick % 5 === 0) this.pushState();
    }
  }

  private run(ended: boolean): RunLive {
    const startMs = this.timeMs(this.runStart);
    const figures = scriptedFigures(this.record, ended, this.options.peakLimit);
    const failed = figures.find((figure) => figure.verdict === "fail" && figure.severity === "fail");
    return {
      number: this.runNumber,
      carrier: "B",
      kind: this.kind,
      recipe: null,
      load: null,
      startReason: this.begunBy,
      start: startMs,
      end: ended ? this.timeMs(this.tick) : null,
      endReason: ended ? "cooled" : null,
      notes: this.notes,
      specName: this.options.spec ? "Inverter power board PB-6" : null,
      specVersion: this.options.spec ? 3 : null,
      phases: scriptedPhases(this.record, startMs, ended),
      figures: this.options.spec ? figures : [],
      gaps: this.gaps,
      verdict: ended ? (failed === undefined ? "pass" : "fail") : null,
      reasons: failed === undefined ? [] : [failed.figure],
    };
  }

  state(): CellState {
    const run = this.finished ?? (this.record.t.length === 0 ? null : this.run(false));
    const devices: DeviceLive[] = ["amp", "gauge"].map((id) =>
      id === this.silentDevice
        ? { id, state: "down", since: this.deviceDownSince ?? 0, reason: "It does not answer on the line." }
        : { id, state: "up", since: baseMs, reason: "" },
    );
    const state: CellState = {
      cell: this.cell,
      seq: this.seq,
      t: this.timeMs(this.tick),
      runs: run === null ? [] : [run],
      filtered: [],
      alarms: this.alarms.told,
      hiddenAlarms: this.alarms.hidden,
      devices,
    };
    return this.alter?.(state) ?? state;
  }

  private pushState(): void {
    // Every third time what follows does not fit: the page then asks for the whole.
    const state = this.state();
    const after = ++this.pushed % 3 === 0 ? -1 : this.sent;
    this.sent = state.seq;
    this.events?.change({
      ...state,
      after,
      order: state.runs.map((run) => run.number),
      runs: state.runs.map((run) => ({ number: run.number, head: run, at: [], data: new Uint8Array(), anew: null })),
      numbers: null,
    });
  }

  layout(): CellLayout {
    const layout = scriptedLayout({
      cell: this.cell,
      session: this.session,
      options: this.options,
      fromSeq: Math.min(Math.max(0, this.runStart - 10), Math.max(0, this.seq - 600)),
      now: this.timeMs(this.tick),
    });
    return this.alterLayout?.(layout) ?? layout;
  }

  /** The thermocouple of a channel came off some seconds ago, as its neighbours show by now. */
  lift(channel: number, ago_s: number): void {
    const { id } = channels[channel];
    const first = this.tick - Math.round(ago_s / interval_s);
    this.lifted = channel;
    this.gaps.push({ channel: id, start: this.timeMs(first - 1), end: null, reason: "detached" });
    for (let tick = first; tick <= this.tick; tick++)
      this.events?.mark({ cell: this.cell, channel: id, t: this.timeMs(tick), quality: "uncertain:detached" });
    this.pushState();
  }

  /** The channel reads so many kelvin too much from now on, and the service says so. */
  tooHot(channel: number, above: number): void {
    this.hot = { channel, above };
    this.alarms.told = [];
    this.alarms.begin("tooHot", "high", {
      channel: channels[channel].id,
      where: channels[channel].name,
      figure: "peakTemperature",
      value: Math.max((this.record.values[channel].at(-1) ?? 0) + above, this.options.peakLimit + 1),
      limit: this.options.peakLimit,
    });
    this.pushState();
  }

  /** The service tells of a condition of its own: of its record, its clock, a feed. */
  tell(condition: string, priority: AlarmLive["priority"], said: Partial<AlarmLive>): void {
    this.alarms.begin(condition, priority, said);
    this.pushState();
  }

  /** One channel gives no value that counts from now on. */
  breakSensor(id: string): void {
    this.broken = id;
    this.gaps = [...this.gaps, { channel: id, start: this.timeMs(this.tick), end: null, reason: null }];
    this.pushState();
  }

  coolAgain(): void {
    this.hot = null;
    this.alarms.clear();
    this.pushState();
  }

  silence(device: string | null): void {
    if (device === null) this.gaps = this.gaps.map((gap) => ({ ...gap, end: gap.end ?? this.timeMs(this.tick + 1) }));
    else {
      this.deviceDownSince = this.timeMs(this.tick);
      this.gaps = [
        ...this.gaps,
        ...channels
          .filter((channel) => channel.device === device)
          .map((channel) => ({ channel: channel.id, start: this.timeMs(this.tick), end: null, reason: null })),
      ];
    }
    this.silentDevice = device;
    this.pushState();
  }

  /** The service goes away (or comes back, with another session if asked: it was started anew). */
  cut(): void {
    this.reachable = false;
    const events = this.events;
    this.events = null;
    events?.closed();
  }

  mend(newSession: boolean): void {
    this.reachable = true;
    if (newSession) this.session = `${this.session}+`;
  }

  async open(events: HubEvents): Promise<OpenHub> {
    await Promise.resolve();
    if (!this.reachable) throw new Error("not reachable");
    return {
      cells: async () => [{ cell: this.cell, name: this.options.name }],
      layout: async () => this.layout(),
      since: async (_cell, seq) => {
        const from = this.frames.findIndex((frame) => frame.seq > seq);
        if (from < 0) return { cell: this.cell, frames: [], marks: [], more: false };
        const frames = this.frames.slice(from, from + 2000);
        return { cell: this.cell, frames, marks: [], more: from + 2000 < this.frames.length };
      },
      follow: async () => {
        this.events = events;
        const state = this.state();
        this.sent = state.seq;
        return state;
      },
      unwatch: async () => {
        this.events = null;
      },
      ...this.alarms.orders((give) => {
        this.takeOrder(400);
        give();
        this.pushState();
      }),
      close: () => undefined,
    };
  }
}
