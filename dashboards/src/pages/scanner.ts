/** Longest pause between the characters of a code, ms; a hand is slower. */
const pauseMs = 200;
/** Sign with which a code begins. No key of the pages has it, and every usual symbology can carry it. */
export const codeSign = "%";

/**
 * Hears a code scanner that speaks as a keyboard does. From the sign on the characters belong to the code, up to Enter:
 * nothing of it reaches a field or a key's own meaning. What comes too slowly is no code.
 * @param code called with what stands after the sign
 */
export function attachScanner(code: (text: string) => void, nowMs: () => number): void {
  let heard: string | null = null;
  let lastMs = 0;
  document.addEventListener(
    "keydown",
    (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      const atMs = nowMs();
      if (heard !== null && atMs - lastMs > pauseMs) heard = null;
      lastMs = atMs;
      if (heard === null) {
        if (event.key !== codeSign) return;
        heard = "";
      } else if (event.key === "Enter") {
        const text = heard;
        heard = null;
        event.preventDefault();
        event.stopImmediatePropagation();
        if (text !== "") code(text);
        return;
      } else if (event.key.length === 1) heard += event.key;
      else if (event.key !== "Shift") {
        heard = null;
        return;
      }
      event.preventDefault();
      event.stopImmediatePropagation();
    },
    { capture: true },
  );
}

/** What a code asks for. */
export interface CodeActions {
  seen(): void;
  decide(kind: "release" | "hold" | "inspect" | "rework" | "scrap"): void;
  go(place: "floor" | "cell" | "runs" | "alarms"): void;
  /** The board of this serial number. */
  serial(number: string): void;
  /** Fills a field of the question that stands; false: there is none. */
  fill(field: "by" | "why", text: string): boolean;
  person(name: string): void;
  send(): void;
}

/** Reads a code: SEEN, RELEASE, HOLD ..., FLOOR, CELL ..., BY-name, WHY-words, SEND; anything else is a serial number. */
export function obeyCode(text: string, actions: CodeActions): void {
  const [, head, rest] = /^([A-Z]+)(?:-(.*))?$/.exec(text) ?? [];
  switch (head) {
    case "SEEN":
      actions.seen();
      return;
    case "RELEASE":
    case "HOLD":
    case "INSPECT":
    case "REWORK":
    case "SCRAP":
      actions.decide(head.toLowerCase() as "release");
      return;
    case "FLOOR":
    case "CELL":
    case "RUNS":
    case "ALARMS":
      actions.go(head.toLowerCase() as "floor");
      return;
    case "BY":
      actions.person(rest ?? "");
      actions.fill("by", rest ?? "");
      return;
    case "WHY":
      actions.fill("why", rest ?? "");
      return;
    case "SEND":
      actions.send();
      return;
    default:
      actions.serial(text);
      return;
  }
}
