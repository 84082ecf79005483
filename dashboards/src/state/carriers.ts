import type { AlarmLive, RunLive } from "../feed/contract";
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
