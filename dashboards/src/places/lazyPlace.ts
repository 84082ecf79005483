import { html, nothing, render } from "lit-html";
import { promptBar } from "../pages/promptBar";
import { prompt } from "../state/promptTypes";
import type { Route } from "../state/route";
import type { Surroundings, Visit } from "./context";

/**
 * A place whose script is fetched when it is first gone to.
 * @param load fetches the place; it is asked again after it failed
 */
export function createLazyPlace<R extends Route>(around: Surroundings, load: () => Promise<Visit<R>>): Visit<R> {
  const { texts } = around;
  let place: Visit<R> | null = null;
  let route: R | null = null;
  let loading = false;
  let refused = false;

  const fetch = (): void => {
    if (place !== null || loading) return;
    loading = true;
    load()
      .then(
        (loaded) => {
          place = loaded;
          if (route !== null) place.enter(route);
        },
        () => {
          refused = true;
        },
      )
      .finally(() => {
        loading = false;
        if (route !== null) around.relay();
      });
  };
  const again = (): void => {
    refused = false;
    fetch();
    around.relay();
  };
  return {
    enter(next) {
      route = next;
      if (place !== null) place.enter(next);
      else again();
    },
    leave() {
      route = null;
      place?.leave();
    },
    layOut() {
      if (place !== null) return place.layOut();
      const words = texts.places;
      const said = refused
        ? prompt("place/failed", "unknown", words.notFetched, texts.runs.noAnswer)
        : prompt("place/fetching", "calm", words.fetching, "");
      render(
        html`<header class="head">${around.links()}</header>${around.urgent()} ${promptBar([said], null, texts, () => undefined)}
          ${refused ? html`<p class="list-foot"><button type="button" class="plain" data-testid="again" @click=${again}>${texts.runs.again}</button></p>` : nothing}`,
        around.page,
      );
    },
    restyle: () => place?.restyle(),
    decide: (kind) => place?.decide?.(kind),
    get keys() {
      return place?.keys ?? {};
    },
    title: () => place?.title() ?? "",
  };
}
