import type { AlarmLive } from "../feed/alarmContract";

/**
 * How a prompt looks. `act`: a limit is broken now (filled square). `soon`: something is outside or will be (triangle).
 * `unknown`: the page cannot tell (hatch). `calm`: nothing asked.
 */
export type Tone = "act" | "soon" | "unknown" | "calm";

/** One sentence for the top of the page, why, and whether somebody can say that they have seen it. */
export interface Prompt {
  /** The same while the matter is the same, though its numbers change: decides what is announced, and how often. */
  readonly key: string;
  readonly tone: Tone;
  readonly sentence: string;
  readonly detail: string;
  /** What it is about, in few words: said beside a sentence that another prompt has too. */
  readonly which?: string;
  /** Alarm that can be acknowledged here. */
  readonly alarm: AlarmLive | null;
}

/** How people call channels. */
export interface Naming {
  readonly channel: (id: string | null) => string | null;
  readonly unit: (id: string | null) => string;
}

export const prompt = (key: string, tone: Tone, sentence: string, detail: string): Prompt => ({
  key,
  tone,
  sentence,
  detail,
  alarm: null,
});
