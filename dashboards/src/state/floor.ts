import type { Prompt, Tone } from "./promptTypes";

/** A cell on the floor, and what it says, most urgent first. */
export interface FloorCell {
  readonly cell: number;
  readonly name: string;
  readonly prompts: readonly Prompt[];
}

/** What one cell asks. */
export interface FloorAsk {
  readonly cell: FloorCell;
  readonly prompt: Prompt;
}

const rank: Record<Tone, number> = { act: 1, soon: 2, unknown: 3, calm: 4 };

/** Seconds that are left to act; none known: no deadline. */
const deadline = (prompt: Prompt): number => prompt.alarm?.timeToAct_s ?? Number.POSITIVE_INFINITY;

/**
 * What the floor asks of people, one a cell: what has a deadline that can still be kept comes first, the nearest
 * first; a limit that is broken already after it, since that can wait a few seconds.
 */
export function floorAsks(cells: readonly FloorCell[]): readonly FloorAsk[] {
  return cells
    .flatMap((cell) => {
      const prompt = cell.prompts.find((one) => one.tone !== "calm" && (one.tone !== "unknown" || one.alarm !== null));
      return prompt === undefined || prompt.key.startsWith("finished/") ? [] : [{ cell, prompt }];
    })
    .map((ask, index) => ({ ask, index }))
    .sort((a, b) => {
      const [one, other] = [deadline(a.ask.prompt), deadline(b.ask.prompt)];
      if (one !== other) return one - other;
      return rank[a.ask.prompt.tone] - rank[b.ask.prompt.tone] || a.index - b.index;
    })
    .map(({ ask }) => ask);
}

/** Cells of which nothing is known now, and those that ask for nothing. */
export function floorRest(cells: readonly FloorCell[]): { readonly unknown: string[]; readonly calm: string[] } {
  const asking = new Set(floorAsks(cells).map((ask) => ask.cell.cell));
  const rest = cells.filter((cell) => !asking.has(cell.cell));
  const unknown = rest.filter(
    (cell) => cell.prompts.at(0)?.tone === "unknown" && !cell.prompts[0].key.startsWith("finished/"),
  );
  return {
    unknown: unknown.map((cell) => cell.name),
    calm: rest.filter((cell) => !unknown.includes(cell)).map((cell) => cell.name),
  };
}
