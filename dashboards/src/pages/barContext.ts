import type { BarContext } from "../charts/bar";
import type { Place } from "../charts/geometry";
import type { CellView } from "../state/view";
import type { Texts } from "../texts/en";

/** What the bars of a view need to know beside their figures. */
export function barContext(view: CellView, texts: Texts, width: number, place: Place): BarContext {
  const spec = view.layout.spec;
  return {
    texts,
    width,
    letter: place === "touch" ? 8.4 : 7.4,
    liquidus: spec?.liquidus ?? 0,
    soak:
      spec === null || spec.soakFrom === null || spec.soakTo === null ? null : { from: spec.soakFrom, to: spec.soakTo },
    target: spec?.vacuumTarget ?? null,
    channelName: (id) => view.channels.find((channel) => channel.layout.id === id)?.layout.name ?? id,
  };
}
