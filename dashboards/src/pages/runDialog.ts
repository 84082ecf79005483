import { html, nothing, render } from "lit-html";
import { createRunOrders } from "../feed/runOrders";
import type { Surroundings } from "../places/context";
import type { RunOfCarrier } from "../state/carriers";
import { runOrdersFor, runQuestion } from "./runQuestions";

/** What can be said of the runs of a cell, a row for each carrier. */
export interface RunDialog {
  open(): void;
  /** Draws anew what stands, while it is looked at. */
  layOut(): void;
}

/** @param now the cell, and the run that goes on at each of its carriers */
export function createRunDialog(
  around: Surroundings,
  now: () => { readonly cell: number; readonly carriers: readonly RunOfCarrier[] } | null,
): RunDialog {
  const { texts } = around;
  const words = texts.runOrders;
  const host = document.createElement("div");
  around.dialogs.append(host);
  const dialog = (): HTMLDialogElement | null => host.querySelector("dialog");

  function layOut(): void {
    const live = now();
    if (live === null) {
      dialog()?.close();
      render(nothing, host);
      return;
    }
    render(
      html`<dialog class="keys ask run-orders" aria-labelledby="run-orders-title" data-testid="run-orders">
        <h2 id="run-orders-title">${words.heading}</h2>
        <p class="second">${words.switchesNothing}</p>
        ${live.carriers.map(
          (carrier) => html`<section data-testid=${`run-of-${carrier.name}`}>
            <h3>${texts.head.carrierName(carrier.name)} <span>${carrier.run === null ? words.none : words.goesOn(carrier.run.number, words.kinds[carrier.run.kind])}</span></h3>
            <div class="run-answers">
              ${runOrdersFor(carrier).map(
                (order) =>
                  html`<button type="button" data-testid=${`run-${order}-${carrier.name}`} @click=${() => {
                    dialog()?.close();
                    around.dialog.ask(runQuestion(order, carrier, live.cell, texts, createRunOrders(around.ask)));
                  }}>${words.button[order]}</button>`,
              )}
            </div>
          </section>`,
        )}
        <form method="dialog"><button type="submit" data-testid="run-orders-close">${texts.keys.close}</button></form>
      </dialog>`,
      host,
    );
  }
  return {
    open() {
      layOut();
      if (dialog()?.open === false) dialog()?.showModal();
    },
    layOut() {
      if (dialog()?.open === true) layOut();
    },
  };
}
