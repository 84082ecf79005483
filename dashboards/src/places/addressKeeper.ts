import { addressOf, type Route } from "../state/route";
import type { Surroundings } from "./context";

/** Keeps the address with what is looked at, so that it can be handed on. */
export interface AddressKeeper {
  /** A place was entered by this address. */
  entered(route: Route): void;
  /** This is looked at now. */
  keep(route: Route): void;
  left(): void;
}

/** Not at every turn of a wheel, ms. */
const restMs = 300;

export function createAddressKeeper(around: Pick<Surroundings, "after" | "note">): AddressKeeper {
  let noted = "";
  let due: (() => void) | null = null;
  const cancel = (): void => {
    due?.();
    due = null;
  };
  return {
    entered(route) {
      cancel();
      noted = addressOf(route);
    },
    keep(route) {
      const address = addressOf(route);
      if (address === noted) return;
      noted = address;
      cancel();
      due = around.after(restMs, () => {
        due = null;
        around.note(route);
      });
    },
    left: cancel,
  };
}
