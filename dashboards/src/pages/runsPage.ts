import { html, nothing, type TemplateResult } from "lit-html";
import { decisionKinds } from "../feed/papers";
import type { ListedRun, RunFilter, RunShape, Verdict } from "../feed/records";
import { rank } from "../state/figureRows";
import { type Naming, type Prompt, prompt } from "../state/promptTypes";
import type { RunList } from "../state/runList";
import type { Texts } from "../texts/en";
import { promptBar } from "./promptBar";
import { lengthOf, runRow } from "./runRow";

export interface RunsPageInput {
  readonly list: RunList;
  readonly filter: RunFilter;
  readonly filtered: boolean;
  readonly over: number | null;
  readonly head: TemplateResult;
  /** What the live cell asks, and long work that goes on. */
  readonly urgent: TemplateResult | typeof nothing;
  readonly texts: Texts;
  readonly naming: Naming;
  readonly liquidusOf: (run: ListedRun) => number | null;
  readonly addressOf: (run: ListedRun) => string;
  readonly shapeOf: (run: ListedRun) => RunShape | null;
  /** Width that the bars of a row may take, px. */
  readonly barsWidth: number;
  readonly shapeWidth: number;
  /** A narrow screen: what can be searched by waits until it is asked for, or no run would be in sight. */
  readonly narrow: boolean;
  readonly search: (filter: RunFilter) => void;
  readonly clear: () => void;
}

/** Figures that get a column: those of the runs listed, in the order of a run, as many as there is room for. */
export function columnsOf(runs: readonly ListedRun[], room: number): string[] {
  const figures = new Set(runs.flatMap((run) => run.tightest.map((figure) => figure.figure)));
  return [...figures].sort((a, b) => rank(a) - rank(b) || a.localeCompare(b)).slice(0, room);
}

/** What a whole drawing's width stands for: the longest run, unless it is far longer than the others. */
export function longestOf(runs: readonly ListedRun[]): number {
  const lengths = runs.flatMap((run) => lengthOf(run) ?? []).sort((a, b) => a - b);
  if (lengths.length === 0) return 360;
  const median = lengths[Math.floor(lengths.length / 2)];
  return Math.max(60, Math.min(lengths[lengths.length - 1], median * 1.6));
}

/** How the runs that are listed turned out, as a sentence. */
export function sumOf(runs: readonly ListedRun[], more: boolean, texts: Texts): string {
  const words = texts.runs;
  const ended = runs.filter((run) => run.end !== null);
  const count = (verdict: Verdict | null): number => ended.filter((run) => run.verdict === verdict).length;
  const parts = [
    [count("pass"), words.passed],
    [count("fail"), words.failedRuns],
    [count("undetermined"), words.undetermined],
    [count(null), words.unjudged],
  ] as const;
  const said = parts.filter(([n]) => n > 0).map(([n, say]) => say(n));
  return words.sum(ended.length, more, said.join(", "));
}

function promptOf(input: RunsPageInput): Prompt {
  const { list, texts } = input;
  const words = texts.runs;
  const { items: runs, asked } = list;
  if (asked.kind === "failed" && runs.length === 0)
    return prompt("runs/failed", "unknown", words.failed, asked.words ?? words.noAnswer);
  if (input.over !== null) return prompt("runs/over", "calm", words.over(input.over), words.overDetail);
  if (asked.kind === "asking" && runs.length === 0) return prompt("runs/asking", "calm", words.counting, "");
  if (input.filter.decision === "waiting" && list.asked.kind === "here")
    return runs.length === 0
      ? prompt("runs/waiting", "calm", texts.decide.waitsNone, texts.decide.waitsDetail)
      : prompt("runs/waiting", "calm", texts.decide.waits(runs.length, list.more), texts.decide.waitsDetail);
  if (runs.every((run) => run.end === null))
    return input.filtered
      ? prompt("runs/none", "calm", words.noneFits, words.noneFitsDetail)
      : prompt("runs/none", "calm", words.none, words.noneDetail);
  return prompt("runs/sum", "calm", sumOf(runs, list.more, texts), words.sumDetail);
}

const verdicts = ["", "pass", "fail", "undetermined"] as const;
const decisions = ["", "waiting", ...decisionKinds] as const;

function filterBar(input: RunsPageInput): TemplateResult {
  const { filter, texts } = input;
  const words = texts.runs;
  const set = (part: Partial<RunFilter>): void => input.search({ ...filter, ...part });
  const field = (
    name: "product" | "serial" | "spec" | "carrier" | "from" | "to",
    type: "text" | "date",
  ): TemplateResult =>
    html`<label class=${`field ${name}`}><span>${words[name]}</span><input type=${type} name=${name} .value=${filter[name]} @input=${(event: Event) => set({ [name]: (event.target as HTMLInputElement).value })} autocomplete="off" /></label>`;
  const more = html`<label class="field"><span>${texts.decide.waiting}</span><select name="decision" @change=${(event: Event) => set({ decision: (event.target as HTMLSelectElement).value as RunFilter["decision"] })}>
      ${decisions.map((decision) => html`<option value=${decision} ?selected=${filter.decision === decision}>${texts.decide.search[decision]}</option>`)}
    </select></label>
    ${field("product", "text")} ${field("serial", "text")} ${field("spec", "text")} ${field("carrier", "text")} ${field("from", "date")} ${field("to", "date")}
    ${input.filtered ? html`<button type="button" class="plain" data-testid="clear" @click=${input.clear}>${words.clear}</button>` : nothing}`;
  const sought = Object.entries(filter).some(([name, value]) => name !== "verdict" && value !== "");
  return html`<form class="search" role="search" aria-label=${words.search} @submit=${(event: Event) => event.preventDefault()}>
    <div class="choice" role="group" aria-label=${words.verdict}>
      ${verdicts.map(
        (verdict) =>
          html`<button type="button" data-testid=${`verdict-${verdict || "all"}`} aria-pressed=${filter.verdict === verdict} @click=${() => set({ verdict })}>${words.verdicts[verdict]}</button>`,
      )}
    </div>
    ${input.narrow ? html`<details class="search-more" ?open=${sought}><summary data-testid="search-more">${words.search}</summary><div>${more}</div></details>` : more}
  </form>`;
}

function foot(input: RunsPageInput): TemplateResult {
  const { list, texts } = input;
  const words = texts.runs;
  const { asked, items: runs, more } = list;
  if (asked.kind === "failed")
    return html`<p class="list-foot">${runs.length === 0 ? nothing : words.failed} <button type="button" class="plain" data-testid="again" @click=${list.next}>${words.again}</button></p>`;
  if (asked.kind === "asking")
    return html`<p class="list-foot second">${runs.length === 0 ? words.counting : words.fetching}</p>`;
  if (more)
    return html`<p class="list-foot more"><button type="button" class="plain" data-testid="older" @click=${list.next}>${words.more}</button></p>`;
  return runs.length === 0 ? html`` : html`<p class="list-foot second">${words.end}</p>`;
}

const barGap = 12;
const narrowest = 72;
const widest = 92;

/** Runs of a cell, newest first. */
export function runsPage(input: RunsPageInput): TemplateResult {
  const { list, texts } = input;
  const { items: runs } = list;
  const room = Math.max(0, Math.floor((input.barsWidth + barGap) / (narrowest + barGap)));
  const columns = columnsOf(runs, room);
  const barWidth = Math.min(widest, Math.floor((input.barsWidth + barGap) / Math.max(1, columns.length)) - barGap);
  const longest_s = longestOf(runs);
  const names = texts.runs.short;
  return html`${input.head} ${input.urgent} ${promptBar([promptOf(input)], null, texts, () => undefined)} ${filterBar(input)}
    <div class="runs" data-testid="runs" .style=${`--bar: ${barWidth}px; --shape: ${input.shapeWidth}px`} tabindex="-1">
      ${
        columns.length === 0 || runs.length === 0
          ? nothing
          : html`<div class="run-columns" aria-hidden="true"><span class="run-bars">${columns.map((figure) => html`<span>${names[figure] ?? texts.figures.names[figure] ?? figure}</span>`)}</span></div>`
      }
      <ol>${runs.map((run) =>
        runRow({
          // Figures of a run that goes on have not come to their limits yet: a bar outside would accuse it.
          run: run.end === null ? { ...run, tightest: [] } : run,
          address: input.addressOf(run),
          shape: input.shapeOf(run),
          columns,
          barWidth,
          shapeWidth: input.shapeWidth,
          longest_s,
          liquidus: input.liquidusOf(run),
          naming: input.naming,
          texts,
        }),
      )}</ol>
      ${foot(input)}
    </div>`;
}
