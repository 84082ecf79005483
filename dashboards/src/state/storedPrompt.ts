import type { Comparison } from "../feed/papers";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import { namingOf } from "./alarmPrompt";
import type { Asked } from "./asked";
import { likenessOf } from "./likeness";
import { type Prompt, prompt, type Tone } from "./promptTypes";
import { isProduction, verdictReason } from "./runPrompt";
import type { StoredRun } from "./storedRun";

/**
 * The sentence of a run of the record: its verdict with the first reason, and below it what else belongs to it.
 * @param comparison how a run without product sensors compares; null: nobody has asked
 */
export function storedPrompt(stored: StoredRun, comparison: Asked<Comparison> | null, texts: Texts): Prompt {
  const words = texts.prompt.verdict;
  const { view, detail } = stored;
  const { run } = detail;
  const judged = view.figures.filter((row) => row.severity === "fail");
  const inside = judged.filter((row) => row.standing === "inside").length;
  let sentence = words.none;
  let tone: Tone = "calm";
  if (run.verdict === "pass") sentence = words.pass(judged.length);
  if (run.verdict === "fail" || run.verdict === "undetermined") {
    sentence = words[run.verdict](verdictReason(view.figures, run, run.verdict, namingOf(view.layout), texts));
    tone = run.verdict === "fail" ? "soon" : "unknown";
  }
  const like = isProduction(run) ? likenessOf(run.carrier, comparison, texts) : null;
  if (like !== null) ({ sentence, tone } = like);
  const endMs = run.end === null ? null : Date.parse(run.end);
  const detailParts = [
    ...(like?.detail ?? []),
    run.verdict === null || run.verdict === "pass" || judged.length === 0
      ? null
      : texts.run.limitsMet(inside, judged.length),
    endMs === null ? null : texts.run.ended(write.day(endMs), write.clock(endMs)),
    texts.prompt.endReasons[run.endReason ?? ""] ?? null,
    view.layout.spec === null && run.spec !== null ? texts.run.oldSpec : null,
    ...stored.lost.map(texts.run.lost),
  ];
  return prompt(`run/${run.cell}/${run.number}`, tone, sentence, detailParts.filter((part) => part !== null).join(" "));
}
