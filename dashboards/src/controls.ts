import { anyRun } from "./feed/records";
import { attachKeyboard } from "./pages/keyboard";
import { attachScanner, obeyCode } from "./pages/scanner";
import type { Surroundings, Visit } from "./places/context";
import { keepPerson } from "./state/person";
import type { Prompt } from "./state/promptTypes";
import type { Route } from "./state/route";

/** What keys, codes and a wired button act on. */
export interface Controlled {
  readonly around: Surroundings;
  /** The place where one is. */
  here(): Visit<Route>;
  prompts(): readonly Prompt[];
  acknowledge(prompt: Prompt): void;
  /** The cell of the address; null: none is named. */
  cell(): number | null;
  openKeys(): void;
  nextLook(): void;
  otherTime(): void;
}

/** Hears the keyboard, a code scanner, and a button wired as either. */
export function attachControls(of: Controlled): void {
  const { around, here, openKeys, nextLook, otherTime } = of;
  const acknowledgeFirst = (): void => {
    const first = of.prompts().find((prompt) => prompt.alarm !== null);
    if (first !== undefined) of.acknowledge(first);
  };
  attachScanner(
    (text) =>
      obeyCode(text, {
        seen: acknowledgeFirst,
        decide: (kind) => here().decide?.(kind),
        go: (place) =>
          around.go(
            place === "runs" ? { place, cell: of.cell(), filter: anyRun, over: null } : { place, cell: of.cell() },
          ),
        serial: (serial) => around.go({ place: "runs", cell: of.cell(), filter: { ...anyRun, serial }, over: null }),
        fill: around.dialog.fill,
        person: keepPerson,
        send: around.dialog.send,
      }),
    around.nowMs,
  );
  attachKeyboard(() => ({
    ...here().keys,
    listKeys: openKeys,
    acknowledgeFirst,
    // One wired button: what asks for somebody first, else the decision at a run's end.
    mainAction: () => {
      if (around.dialog.asking) around.dialog.send();
      else if (of.prompts().some((prompt) => prompt.alarm !== null)) acknowledgeFirst();
      else here().decide?.("release");
    },
    nextLook,
    otherTime,
  }));
}
