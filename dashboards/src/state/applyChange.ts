import type { AlarmLive } from "../feed/alarmContract";
import type { CellChange, CellState, FigureLive, RunChange, RunLive } from "../feed/contract";

/** The number packed at a place; null where there is none. */
function unpacked(data: DataView, index: number): number | null {
  const value = data.getFloat32(4 * index, true);
  return Number.isNaN(value) ? null : value;
}

function changedRun(before: RunLive | undefined, change: RunChange): RunLive | null {
  const { head } = change;
  // A head without figures keeps those that are there.
  const run =
    head === null
      ? before
      : head.figures.length === 0 && before !== undefined
        ? { ...head, figures: before.figures }
        : head;
  if (run === undefined) return null;
  if (change.at.length === 0 && change.anew === null) return run;
  const figures: FigureLive[] = [...run.figures];
  const data = new DataView(change.data.buffer, change.data.byteOffset, change.data.byteLength);
  for (const [i, at] of change.at.entries()) {
    const [value, low, high, margin] = [0, 1, 2, 3].map((part) => unpacked(data, 4 * i + part));
    if (figures[at] === undefined) return null;
    figures[at] = { ...figures[at], value, low, high, margin };
  }
  for (const { at, figure } of change.anew ?? []) figures[at] = figure;
  return { ...run, figures };
}

/**
 * The state after a change. Null where the change follows another state than this one: then the whole is to be asked for.
 */
export function applyChange(state: CellState, change: CellChange): CellState | null {
  if (change.after !== state.seq) return null;
  const runs = new Map(state.runs.map((run) => [run.number, run]));
  for (const one of change.runs ?? []) {
    const run = changedRun(runs.get(one.number), one);
    if (run === null) return null;
    runs.set(one.number, run);
  }
  const order = change.order ?? state.runs.map((run) => run.number);
  const inOrder = order.map((number) => runs.get(number));
  if (inOrder.includes(undefined)) return null;
  const numbers = new Map((change.numbers ?? []).map((one) => [one.id, one]));
  const moved = (alarms: readonly AlarmLive[]): readonly AlarmLive[] =>
    numbers.size === 0
      ? alarms
      : alarms.map((alarm) => {
          const now = numbers.get(alarm.id);
          return now === undefined ? alarm : { ...alarm, value: now.value, timeToAct_s: now.timeToAct_s };
        });
  return {
    cell: state.cell,
    seq: change.seq,
    t: change.t,
    runs: inOrder as RunLive[],
    alarms: moved(change.alarms ?? state.alarms),
    hiddenAlarms: moved(change.hiddenAlarms ?? state.hiddenAlarms),
    devices: change.devices ?? state.devices,
    filtered: change.filtered ?? state.filtered,
  };
}
