import type { RunLive } from "./contract";
import type { Ask } from "./records";

export const runKinds = ["profile", "verification", "production", "empty", "maintenance"] as const;

/** What people say of a carrier's run while it goes on. It is recorded, and switches nothing. */
export interface RunOrders {
  /** @param kind null: by whether boards are measured; @param recipe null: as a signal says, or unknown */
  begin(cell: number, carrier: string, by: string, kind: RunLive["kind"] | null, recipe: number | null): Promise<void>;
  end(cell: number, carrier: string, by: string): Promise<void>;
  kind(cell: number, carrier: string, by: string, kind: RunLive["kind"]): Promise<void>;
  /** Somebody acted on the machine. */
  intervention(cell: number, carrier: string, by: string, what: string): Promise<void>;
}

/** Nobody gives up what has been sent: whether it arrived would then be unknown. */
const never = new AbortController().signal;

export function createRunOrders(ask: Ask): RunOrders {
  const post = async (cell: number, carrier: string, order: keyof RunOrders, body: object): Promise<void> => {
    const path = `/api/v1/cells/${cell}/carriers/${encodeURIComponent(carrier)}/run/${order}`;
    await ask(path, never, { method: "POST", body });
  };
  return {
    begin: (cell, carrier, by, kind, recipe) => post(cell, carrier, "begin", { by, kind, recipe }),
    end: (cell, carrier, by) => post(cell, carrier, "end", { by }),
    kind: (cell, carrier, by, kind) => post(cell, carrier, "kind", { by, kind }),
    intervention: (cell, carrier, by, what) => post(cell, carrier, "intervention", { by, what }),
  };
}
