import { html, nothing, type TemplateResult } from "lit-html";
import type { CellLayout } from "../feed/layoutContract";
import type { RejudgeOrder } from "../feed/upkeep";
import { keepPerson } from "../state/person";
import type { Rejudging } from "../state/rejudging";
import { addressOf } from "../state/route";
import type { Texts } from "../texts/en";
import * as write from "../texts/format";
import type { Question } from "./askDialog";
import { byField } from "./byField";

/** Asks by what all runs are to be judged once more, by whom and why. */
export function rejudgeQuestion(
  layout: CellLayout,
  texts: Texts,
  send: (order: RejudgeOrder) => Promise<void>,
): Question {
  const words = texts.rejudge;
  return {
    title: words.title,
    detail: words.detail,
    fields: [
      {
        name: "channel",
        label: words.channel,
        kind: "choice",
        value: "",
        needed: null,
        options: [["", words.noChannel], ...layout.channels.map((one) => [one.id, one.name] as const)],
      },
      { name: "high", label: words.high, kind: "text", value: "", needed: null },
      { name: "reason", label: words.reason, kind: "lines", value: "", needed: words.reasonNeeded },
      byField(texts),
    ],
    answer: words.answer,
    check: ({ channel, high }) =>
      channel !== "" && !Number.isFinite(Number.parseFloat((high ?? "").replace(",", "."))) ? words.highNeeded : null,
    send: ({ channel, high, reason, by }) => {
      keepPerson(by);
      return send({
        by,
        reason,
        ...(channel === "" ? {} : { readHigh: { [channel]: Number.parseFloat(high.replace(",", ".")) } }),
      });
    },
  };
}

/** How far the work is, with the time left and a way to end it; then what came out. */
export function rejudgePanel(work: Rejudging, cell: number, texts: Texts): TemplateResult | typeof nothing {
  const { job, result, left_s } = work;
  const words = texts.rejudge;
  if (job === null) return nothing;
  const close = html`<button type="button" class="plain" data-testid="work-close" @click=${work.close}>${words.close}</button>`;
  if (job.state === "running")
    return html`<section class="work" aria-label=${words.title} data-testid="work" data-state="running">
      <p><b>${words.going(job.done, job.total)}</b> <span class="second">${left_s === null ? words.leftUnknown : words.left(write.about(Math.max(1, left_s)))} ${words.soFar(job.other)} ${work.unheard ? words.unheard : ""}</span></p>
      <progress max=${Math.max(1, job.total)} value=${job.done} aria-label=${words.going(job.done, job.total)}></progress>
      <button type="button" class="plain" data-testid="work-cancel" @click=${work.cancel}>${texts.ask.cancel}</button>
    </section>`;
  const runs = result?.kind === "here" ? (result.value.runs ?? []) : [];
  const said =
    job.state === "cancelled"
      ? words.cancelled(job.done, job.total)
      : job.state === "failed"
        ? words.failed(job.problem ?? "")
        : words.done(job.total, job.other);
  return html`<section class="work" aria-label=${words.title} data-testid="work" data-state=${job.state}>
    <p role="status"><b>${said}</b> ${job.state === "done" ? html`<span class="second">${words.kept}</span>` : nothing}</p>
    ${
      runs.length === 0
        ? nothing
        : html`<ul>${runs.slice(0, 12).map(
            (one) =>
              html`<li><a href=${addressOf({ place: "run", cell, run: one.run })}>${texts.runs.number(one.run)}</a>
                ${one.problem ?? words.moved(texts.runs.words[one.before ?? "none"], texts.runs.words[one.after ?? "none"])}${one.serials.length === 0 ? nothing : html` <span class="second">${texts.run.serials(one.serials.join(", "))}</span>`}</li>`,
          )}</ul>${runs.length > 12 ? html`<p class="second">${words.more(runs.length - 12)}</p>` : nothing}`
    }
    ${close}
  </section>`;
}
