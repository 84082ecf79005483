import type { Comparison } from "../feed/papers";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import type { Asked } from "./asked";
import type { Tone } from "./promptTypes";

/** What is said of a run without product sensors. Pass and fail do not occur: no board was measured. */
export interface Likeness {
  readonly tone: Tone;
  readonly sentence: string;
  readonly detail: readonly string[];
}

/** @param asked null: nobody has asked yet */
export function likenessOf(carrier: string, asked: Asked<Comparison> | null, texts: Texts): Likeness {
  const words = texts.likeness;
  if (asked === null || asked.kind === "asking") return { tone: "calm", sentence: words.asked(carrier), detail: [] };
  if (asked.kind === "failed")
    return { tone: "unknown", sentence: words.unknown(carrier), detail: asked.words === null ? [] : [asked.words] };
  const { result, runs, figures } = asked.value;
  if (result === "consistent")
    return { tone: "calm", sentence: words.consistent(carrier, runs), detail: [words.compared] };
  const off = figures.filter((figure) => figure.differs && figure.value !== null);
  const first = off.at(0);
  if (result === "differs" && first !== undefined) {
    const { figure, unit, value, low, high } = first;
    const number = (of: number): string => write.figure(of, unit, true);
    return {
      tone: "soon",
      sentence: words.differs(
        carrier,
        runs,
        texts.lower(texts.figures.names[figure] ?? figure),
        write.withUnit(number(value ?? 0), unit),
        number(low),
        write.withUnit(number(high), unit),
      ),
      detail: [...(off.length > 1 ? [words.more(off.length - 1)] : []), words.compared, words.decisionNeeded],
    };
  }
  return { tone: "unknown", sentence: words.notComparable(carrier), detail: [words.fewRuns(runs)] };
}
