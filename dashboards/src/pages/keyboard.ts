/** What the keys do; see the list of keys in the catalogue of texts. */
export interface KeyActions {
  listKeys(): void;
  acknowledgeFirst(): void;
  nextLook(): void;
  nextCarrier(): void;
  stepChannel(by: 1 | -1): void;
  moveCursor(by_s: number): void;
  mark(): void;
  zoom(factor: number): void;
  wholeRun(): void;
  freeze(): void;
  back(): void;
}

/** Listens on the whole document. A key in a field belongs to the field. */
export function attachKeyboard(actions: KeyActions): void {
  const meaning = (event: KeyboardEvent): (() => void) | null => {
    switch (event.key) {
      case "?":
        return actions.listKeys;
      case "a":
      case "A":
        return actions.acknowledgeFirst;
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
        return () => actions.stepChannel(1);
      case "ArrowUp":
        return () => actions.stepChannel(-1);
      case "ArrowRight":
        return () => actions.moveCursor(event.shiftKey ? 10 : 1);
      case "ArrowLeft":
        return () => actions.moveCursor(event.shiftKey ? -10 : -1);
      case "+":
      case "=":
        return () => actions.zoom(0.5);
      case "-":
        return () => actions.zoom(2);
      case "0":
        return actions.wholeRun;
      case "Escape":
        return actions.back;
      default:
        return null;
    }
  };
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const target = event.target as Element;
    if (
      target.matches("input:not([type=radio]), textarea, select") ||
      (target.closest("dialog") !== null && event.key.startsWith("Arrow"))
    )
      return;
    const action = meaning(event);
    if (action === null) return;
    if (event.key.startsWith("Arrow")) event.preventDefault();
    action();
  });
}
