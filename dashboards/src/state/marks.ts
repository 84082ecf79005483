import type { Mark } from "./traces";
import type { CellView } from "./view";

/** What befell a channel in a run, so that readings of it are drawn but not judged. Times in s of the run. */
export interface Trouble {
  readonly kind: "spike" | "detached";
  /** Name of the channel. */
  readonly name: string;
  /** Its place in the frames. */
  readonly channel: number;
  readonly from_s: number;
  /** The same for a single reading. */
  readonly to_s: number;
}

/** Troubles of the channels that a view draws, by time: single readings far from their neighbours, thermocouples that came off. */
export function troublesOf(view: CellView, marks: readonly Mark[]): Trouble[] {
  const seconds = (ms: number): number => (ms - view.originMs) / 1000;
  if (view.mode === "waiting") return [];
  const drawn = view.chamber === null ? view.temperatures : [...view.temperatures, view.chamber];
  const spikes = marks.flatMap((mark): Trouble[] => {
    const at_s = seconds(mark.t);
    const owner = drawn.find((channel) => channel.index === mark.channel);
    return mark.kind !== "spike" || owner === undefined || at_s < 0 || at_s > view.elapsed_s
      ? []
      : [{ kind: "spike", name: owner.layout.name, channel: owner.index, from_s: at_s, to_s: at_s }];
  });
  const detached = (view.run?.gaps ?? []).flatMap((gap): Trouble[] => {
    const owner = view.temperatures.find((channel) => channel.layout.id === gap.channel);
    return gap.reason !== "detached" || owner === undefined
      ? []
      : [
          {
            kind: "detached",
            name: owner.layout.name,
            channel: owner.index,
            from_s: Math.max(0, seconds(gap.start)),
            to_s: gap.end === null ? view.elapsed_s : seconds(gap.end),
          },
        ];
  });
  return [...detached, ...spikes].sort((a, b) => a.from_s - b.from_s);
}

/** Those that a moment of the run lies in; a single reading counts for what is drawn beside it. */
export const troublesAt = (troubles: readonly Trouble[], at_s: number, beside_s: number): Trouble[] =>
  troubles.filter(({ kind, from_s, to_s }) =>
    kind === "spike" ? Math.abs(at_s - from_s) <= beside_s : at_s > from_s && at_s <= to_s,
  );
