import type { Route } from "../state/route";
import type { Surroundings, Visit } from "./context";

export function createOverlayPlace(_around: Surroundings): Visit<Extract<Route, { place: "overlay" }>> {
  return {
    enter: () => undefined,
    leave: () => undefined,
    layOut: () => undefined,
    restyle: () => undefined,
    keys: {},
    title: () => "",
  };
}
