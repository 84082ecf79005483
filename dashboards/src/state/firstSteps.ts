import type { DeviceLive } from "../feed/contract";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import type { CellView } from "./view";

export type StepName = "line" | "devices" | "channels" | "sensors" | "spec";

/** One step from a bare cell to a judged run, with what proves it now. */
export interface FirstStep {
  readonly name: StepName;
  readonly done: boolean;
  readonly proof: string;
}

/** How many names are read out before the rest is counted. */
const named = 3;

function namesOf(names: readonly string[], texts: Texts): string {
  return names.length <= named
    ? names.join(", ")
    : texts.steps.andMore(names.slice(0, named).join(", "), names.length - named);
}

/**
 * The path of a cell that has had no run yet. Each step is proven by what comes in at this moment, so a plug that is
 * pulled takes its step back.
 */
export function firstSteps(view: CellView, devices: readonly DeviceLive[], texts: Texts): readonly FirstStep[] {
  const words = texts.steps;
  const { channels, layout } = view;
  const deviceName = (id: string): string => layout.devices.find((device) => device.id === id)?.name ?? id;
  const answering = devices.filter((device) => device.state === "up");
  const silent = devices.filter((device) => device.state !== "up");
  const reading = channels.filter((channel) => channel.value !== null && !channel.stale);
  const without = channels.filter((channel) => channel.value === null || channel.stale);
  const doubtful = channels.filter((channel) => !channel.good);
  const product = reading.filter((channel) => channel.style > 0);
  const values = product.map((channel) => channel.value as number);
  const range =
    values.length === 0
      ? null
      : words.boards(
          write.temperature(Math.min(...values)),
          write.withUnit(write.temperature(Math.max(...values)), "degC"),
        );
  const reason = silent.find((device) => device.reason !== "")?.reason ?? "";
  return [
    {
      name: "line",
      done: answering.length > 0,
      proof:
        answering.length > 0
          ? words.lineHeard
          : layout.devices.length === 0
            ? words.noDevices
            : `${words.lineSilent} ${reason}`.trimEnd(),
    },
    {
      name: "devices",
      done: devices.length > 0 && silent.length === 0,
      proof:
        layout.devices.length === 0
          ? words.noDevices
          : silent.length === 0
            ? words.allAnswer(devices.length)
            : words.silent(
                namesOf(
                  silent.map((device) => deviceName(device.id)),
                  texts,
                ),
                answering.length,
                devices.length,
              ),
    },
    {
      name: "channels",
      done: channels.length > 0 && without.length === 0,
      proof:
        channels.length === 0
          ? words.noChannels
          : without.length === 0
            ? words.allRead(channels.length)
            : words.notReading(
                namesOf(
                  without.map((channel) => channel.layout.name),
                  texts,
                ),
                reading.length,
                channels.length,
              ),
    },
    {
      name: "sensors",
      done: channels.length > 0 && doubtful.length === 0,
      proof:
        channels.length === 0
          ? words.noChannels
          : doubtful.length === 0
            ? [words.allGood(channels.length), range].filter((part) => part !== null).join(" ")
            : words.doubtful(
                namesOf(
                  doubtful.map((channel) => channel.layout.name),
                  texts,
                ),
              ),
    },
    {
      name: "spec",
      done: layout.spec !== null,
      proof:
        layout.spec === null
          ? words.noSpec
          : words.spec(layout.spec.name, layout.spec.version, layout.spec.limits.length),
    },
  ];
}

/** Whether somebody needs the path: no run yet, and a step that is not proven. */
export const needsSteps = (view: CellView | null, steps: readonly FirstStep[]): boolean =>
  view !== null && view.mode === "waiting" && steps.some((step) => !step.done);
