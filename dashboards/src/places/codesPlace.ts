import { html, nothing, render } from "lit-html";
import { codesPage } from "../pages/codesPage";
import { storedHead } from "../pages/storedHead";
import { personHere } from "../state/person";
import type { Route } from "../state/route";
import type { Surroundings, Visit } from "./context";

/** Codes to print for a scanner at the panel. */
export function createCodesPlace(around: Surroundings): Visit<Extract<Route, { place: "codes" }>> {
  const { texts, page } = around;
  const written = { people: personHere(), reasons: texts.codes.usualReasons };
  return {
    enter: () => undefined,
    leave: () => undefined,
    layOut() {
      const { layout } = around.live;
      render(
        codesPage({
          texts,
          ...written,
          write: (field, text) => {
            written[field] = text;
            around.relay();
          },
          urgent: around.urgent(),
          head: storedHead({
            title: texts.codes.heading,
            what: layout === null ? nothing : html`${layout.name}`,
            demo: layout?.demo ?? false,
            clockMs: around.clockMs(),
            place: around.place(),
            links: around.links(),
            tools: html`<button type="button" class="tool" data-testid="print" @click=${() => print()}>${texts.run.print}</button>`,
            texts,
          }),
        }),
        page,
      );
    },
    restyle: () => undefined,
    keys: {},
    title: () => texts.codes.heading,
  };
}
