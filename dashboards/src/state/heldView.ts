import { readingAt, type Traces } from "./traces";
import type { CellView, ChannelView } from "./view";

/** A view of a run as it stood at an earlier moment of it: the picture that was held then, made again. */
export function heldView(view: CellView, traces: Traces, at_s: number): CellView {
  const { run } = view;
  if (run === null) return view;
  const held_s = Math.min(at_s, view.elapsed_s);
  const atMs = view.originMs + held_s * 1000;
  const then = (channel: ChannelView): ChannelView => {
    const value = readingAt(traces, channel.index, atMs);
    return { ...channel, value, shown: value, smooth: null, ageMs: 0, stale: value === null };
  };
  const channels = view.channels.map(then);
  return {
    ...view,
    mode: "running",
    run: {
      ...run,
      end: null,
      phases: run.phases
        .filter((phase) => phase.start <= atMs)
        .map((phase) => (phase.end !== null && phase.end > atMs ? { ...phase, end: null } : phase)),
      gaps: run.gaps
        .filter((gap) => gap.start < atMs)
        .map((gap) => (gap.end !== null && gap.end > atMs ? { ...gap, end: atMs } : gap)),
    },
    elapsed_s: held_s,
    nowMs: atMs,
    channels,
    temperatures: view.temperatures.map((channel) => channels[channel.index]),
    chamber: view.chamber === null ? null : channels[view.chamber.index],
  };
}
