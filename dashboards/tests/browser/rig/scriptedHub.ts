import type { AlarmLive } from "../../../src/feed/alarmContract";
import type { CellState, RunLive, ScanFrame } from "../../../src/feed/contract";
import type { HubEvents, OpenHub } from "../../../src/feed/hub";
import type { CellLayout } from "../../../src/feed/layoutContract";
import { Refusal } from "../../../src/feed/records";
import { encodeFrame } from "../../encodeFrame";
import type { RunRecord } from "./figures";
import { channels, createThermals, cycle_s, interval_s, pressureAt } from "./model";
import { ScriptedAlarms } from "./scriptedAlarms";
import { scriptedLayout } from "./scriptedLayout";
import { scriptedRun } from "./scriptedRun";
import { ScriptedTroubles } from "./scriptedTroubles";

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
  readonly troubles = new ScriptedTroubles((tick) => this.timeMs(tick));
  private readonly alarms = new ScriptedAlarms(() => this.timeMs(this.tick));
  /** `seq` of the state that the page has. */
  private sent = -1;
  private pushed = 0;
  /** The next order is refused in these words. */
  refuseOrder: string | null = null;
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
    this.troubles.gaps = [];
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
    this.troubles.bend(values, this.tick);
    const qualities = this.troubles.qualities();
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
      const spike = this.troubles.spikeBefore(this.tick);
      if (spike !== null) this.mark(spike, this.tick - 1, "uncertain:spike");
      if (last || this.tick % 5 === 0) this.pushState();
    }
  }

  private run(ended: boolean): RunLive {
    return scriptedRun({
      number: this.runNumber,
      record: this.record,
      startMs: this.timeMs(this.runStart),
      endMs: ended ? this.timeMs(this.tick) : null,
      said: { kind: this.kind, notes: this.notes, startReason: this.begunBy },
      gaps: this.troubles.gaps,
      peakLimit: this.options.peakLimit,
      spec: this.options.spec,
    });
  }

  state(): CellState {
    const run = this.finished ?? (this.record.t.length === 0 ? null : this.run(false));
    const state: CellState = {
      cell: this.cell,
      seq: this.seq,
      t: this.timeMs(this.tick),
      runs: run === null ? [] : [run],
      filtered: [],
      alarms: this.alarms.told,
      hiddenAlarms: this.alarms.hidden,
      devices: this.troubles.devices(baseMs),
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
    const first = this.tick - Math.round(ago_s / interval_s);
    this.troubles.lift(channel, first);
    for (let tick = first; tick <= this.tick; tick++) this.mark(channel, tick, "uncertain:detached");
    this.pushState();
  }

  private mark(channel: number, tick: number, quality: string): void {
    this.events?.mark({ cell: this.cell, channel: channels[channel].id, t: this.timeMs(tick), quality });
  }

  /** The channel reads so many kelvin too much from now on, and the service says so. */
  tooHot(channel: number, above: number): void {
    this.troubles.hot = { channel, above };
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
    this.troubles.breakSensor(id, this.tick);
    this.pushState();
  }

  coolAgain(): void {
    this.troubles.hot = null;
    this.alarms.clear();
    this.pushState();
  }

  silence(device: string | null): void {
    this.troubles.silence(device, this.tick);
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
