import type { DeviceLive, GapLive } from "../../../src/feed/contract";
import { channels } from "./model";

/** What goes wrong with a played cell's sensors and devices. */
export class ScriptedTroubles {
  gaps: GapLive[] = [];
  /** A channel that reads too much. */
  hot: { channel: number; above: number } | null = null;
  /** The newest reading made hot. */
  private struck: { tick: number; channel: number } | null = null;
  /** Channel whose thermocouple has come off; null: none has. */
  private lifted: number | null = null;
  /** A channel whose sensor gives no value that counts. */
  private broken: string | null = null;
  private silentDevice: string | null = null;
  private downSince = 0;

  constructor(private readonly timeMs: (tick: number) => number) {}

  /** Makes of what the machine does what its sensors then say. */
  bend(values: number[], tick: number): void {
    if (this.hot !== null) {
      values[this.hot.channel] += this.hot.above;
      this.struck = { tick, channel: this.hot.channel };
    }
    if (this.lifted !== null) values[this.lifted] -= 30;
  }

  /** Quality of each channel's reading now, as a frame says it. */
  qualities(): number[] {
    return channels.map((channel, i) =>
      channel.device === this.silentDevice ? 3 : channel.id === this.broken ? 2 : i === this.lifted ? 1 : 0,
    );
  }

  /** A single hot reading shows to be a spike beside the one that follows it: its channel, if the one before was such. */
  spikeBefore(tick: number): number | null {
    return this.hot === null && this.struck?.tick === tick - 1 ? this.struck.channel : null;
  }

  devices(upSince: number): DeviceLive[] {
    return ["amp", "gauge"].map((id) =>
      id === this.silentDevice
        ? { id, state: "down", since: this.downSince, reason: "It does not answer on the line." }
        : { id, state: "up", since: upSince, reason: "" },
    );
  }

  /** The thermocouple of a channel has come off; `first` is its first reading that says nothing. */
  lift(channel: number, first: number): void {
    this.lifted = channel;
    this.lose(channels[channel].id, first - 1, "detached");
  }

  breakSensor(id: string, tick: number): void {
    this.broken = id;
    this.lose(id, tick, null);
  }

  /** A device says nothing from now on; null: all of them speak again. */
  silence(device: string | null, tick: number): void {
    if (device === null) this.gaps = this.gaps.map((gap) => ({ ...gap, end: gap.end ?? this.timeMs(tick + 1) }));
    else {
      this.downSince = this.timeMs(tick);
      for (const channel of channels) if (channel.device === device) this.lose(channel.id, tick, null);
    }
    this.silentDevice = device;
  }

  private lose(channel: string, tick: number, reason: GapLive["reason"]): void {
    this.gaps = [...this.gaps, { channel, start: this.timeMs(tick), end: null, reason }];
  }
}
