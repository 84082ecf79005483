import { html, nothing, type TemplateResult } from "lit-html";
import type { RunDialog } from "../pages/runDialog";
import { runsOfCarriers } from "../state/carriers";
import type { Surroundings } from "./context";

/** The quiet control of the live cell for what is said of its runs. */
export interface RunControl {
  /** Its button; nothing where nothing can be said. */
  button(): TemplateResult | typeof nothing;
  open(): void;
  layOut(): void;
}

/** Fetches what it needs when it is first used: seldom, where a machine's own signals tell of its runs. */
export function createRunControl(around: Surroundings): RunControl {
  const { live, texts } = around;
  let dialog: RunDialog | null = null;
  let failed = false;

  const now = () => {
    const { layout, state, link } = live;
    if (layout === null || state === null || link.kind === "lost" || layout.channels.length === 0) return null;
    return { cell: layout.cell, carriers: runsOfCarriers(layout, state.runs) };
  };
  const open = (): void => {
    if (now() === null || around.dialog.asking) return;
    if (dialog !== null) {
      dialog.open();
      return;
    }
    import("./later").then(
      ({ createRunDialog }) => {
        failed = false;
        dialog ??= createRunDialog(around, now);
        dialog.open();
        around.relay();
      },
      () => {
        failed = true;
        around.relay();
      },
    );
  };
  return {
    button: () =>
      now() === null || around.place() === "wall"
        ? nothing
        : html`<button type="button" class="run-control" data-testid="run-control" @click=${open}>${failed ? texts.runOrders.notFetched : texts.runOrders.control}</button>`,
    open,
    layOut: () => dialog?.layOut(),
  };
}
