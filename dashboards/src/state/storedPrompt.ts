import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import { namingOf } from "./alarmPrompt";
import { type Prompt, prompt, type Tone } from "./promptTypes";
import { verdictReason } from "./runPrompt";
import type { StoredRun } from "./storedRun";

/** The sentence of a run of the record: its verdict with the first reason, and below it what else belongs to it. */
export function storedPrompt(stored: StoredRun, texts: Texts): Prompt {
  const words = texts.prompt.verdict;
  const { view, detail } = stored;
  const { run } = detail;
  const judged = view.figures.filter((row) => row.severity === "fail");
  const inside = judged.filter((row) => row.standing === "inside").length;
  let sentence = words.none;
  let tone: Tone = "calm";
  if (run.verdict === "pass") sentence = words.pass(judged.length);
  if (run.verdict === "fail" || run.verdict === "undetermined") {
    sentence = words[run.verdict](verdictReason(view.figures, run.reasons, run.verdict, namingOf(view.layout), texts));
    tone = run.verdict === "fail" ? "soon" : "unknown";
  }
  const endMs = run.end === null ? null : Date.parse(run.end);
  const detailParts = [
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
