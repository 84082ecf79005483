import type { AlarmLive } from "../feed/alarmContract";
import type { RunLive } from "../feed/contract";
import type { CellLayout } from "../feed/layoutContract";
import { runToShow } from "./view";

/** A carrier that has had a run, and how it stands now. */
export interface CarrierNow {
  readonly name: string;
  /** Phase in which its run is; null: none goes on. */
  readonly phase: string | null;
  /** Alarms of its run that nobody has seen. */
  readonly alarms: number;
}

/** The phase that a run is in: a vacuum step goes before the thermal phase around it. */
export const phaseNow = (run: RunLive): string | null =>
  run.end !== null ? null : (run.phases.filter((phase) => phase.end === null).at(-1)?.phase ?? null);

export function carriersOf(runs: readonly RunLive[], alarms: readonly AlarmLive[]): readonly CarrierNow[] {
  return [...new Set(runs.map((run) => run.carrier))].sort().map((name) => {
    const run = runToShow(
      runs.filter((one) => one.carrier === name),
      name,
    );
    return {
      name,
      phase: run === null ? null : phaseNow(run),
      alarms: alarms.filter((alarm) => alarm.run === run?.number && alarm.state === "unacknowledged").length,
    };
  });
}

/** A carrier of the cell, and the run that goes on there; null: none does. */
export interface RunOfCarrier {
  readonly name: string;
  readonly run: RunLive | null;
}

/** Every carrier of a cell, also one that has had no run yet. */
export function runsOfCarriers(layout: CellLayout, runs: readonly RunLive[]): readonly RunOfCarrier[] {
  const told = layout.carriers ?? layout.channels.flatMap(({ carrier }) => (carrier === null ? [] : [carrier]));
  return [...new Set([...told, ...runs.map((run) => run.carrier)])]
    .sort()
    .map((name) => ({ name, run: runs.find((run) => run.carrier === name && run.end === null) ?? null }));
}
