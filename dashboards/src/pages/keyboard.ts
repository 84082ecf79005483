/** What the keys do; see the list of keys in the catalogue of texts. */
export interface KeyActions {
  listKeys(): void;
  acknowledgeFirst(): void;
  whatIDid(): void;
  /** What can be said of the runs of the cell. */
  runOrders(): void;
  nextLook(): void;
  nextCarrier(): void;
  stepChannel(by: 1 | -1): void;
  moveCursor(by_s: number): void;
  mark(): void;
  zoom(factor: number): void;
  pan(part: number): void;
  wholeRun(): void;
  freeze(): void;
  back(): void;
  previousRun(): void;
  nextRun(): void;
  search(): void;
  otherTime(): void;
  /** What a button wired as a keyboard does: the main action of the moment. */
  mainAction(): void;
}

/**
 * Listens on the whole document. A key in a field belongs to the field.
 * @param now what the keys do where one is
 */
export function attachKeyboard(now: () => Partial<KeyActions>): void {
  const meaning = (event: KeyboardEvent): (() => void) | undefined => {
    const actions = now();
    switch (event.key) {
      case "?":
        return actions.listKeys;
      case "a":
      case "A":
        return actions.acknowledgeFirst;
      case "w":
      case "W":
        return actions.whatIDid;
      case "r":
      case "R":
        return actions.runOrders;
      case "l":
      case "L":
        return actions.nextLook;
      case "c":
      case "C":
        return actions.nextCarrier;
      case "m":
      case "M":
        return actions.mark;
      case "f":
      case "F":
        return actions.freeze;
      case "ArrowDown":
        return actions.stepChannel && (() => actions.stepChannel?.(1));
      case "ArrowUp":
        return actions.stepChannel && (() => actions.stepChannel?.(-1));
      case "ArrowRight":
        return actions.moveCursor && (() => actions.moveCursor?.(event.shiftKey ? 10 : 1));
      case "ArrowLeft":
        return actions.moveCursor && (() => actions.moveCursor?.(event.shiftKey ? -10 : -1));
      case "+":
      case "=":
        return () => actions.zoom?.(0.5);
      case "-":
        return () => actions.zoom?.(2);
      case ",":
        return actions.pan && (() => actions.pan?.(-0.5));
      case ".":
        return actions.pan && (() => actions.pan?.(0.5));
      case "0":
        return actions.wholeRun;
      case "p":
      case "P":
        return actions.previousRun;
      case "n":
      case "N":
        return actions.nextRun;
      case "u":
      case "U":
        return actions.otherTime;
      case "F8":
        return actions.mainAction;
      case "/":
        return actions.search;
      case "Escape":
        return actions.back;
      default:
        return undefined;
    }
  };
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const target = event.target as Element;
    if (
      (target.matches("input:not([type=radio]), textarea, select") && event.key !== "Escape") ||
      target.closest("dialog.ask") !== null ||
      (target.closest("dialog") !== null && event.key.startsWith("Arrow"))
    )
      return;
    const action = meaning(event);
    if (action === undefined) return;
    if (event.key.startsWith("Arrow") || event.key === "/" || event.key === "F8") event.preventDefault();
    action();
  });
}
