import { html, nothing, render, type TemplateResult } from "lit-html";
import { keyed } from "lit-html/directives/keyed.js";
import { Refusal } from "../feed/records";
import type { Texts } from "../texts/en";

/** One thing that is asked for. */
export interface AskedField {
  readonly name: string;
  readonly label: string;
  readonly kind: "text" | "lines" | "number" | "choice" | "moment";
  readonly value: string;
  /** What is said when it is left empty; null: it may be. */
  readonly needed: string | null;
  /** Of a choice: value and words. */
  readonly options?: readonly (readonly [string, string])[];
}

/** Something that needs words of a person before it is done. */
export interface Question {
  readonly title: string;
  readonly detail: string;
  readonly fields: readonly AskedField[];
  /** On the button that does it. */
  readonly answer: string;
  /** What is wrong with what was typed, in words; null: nothing. */
  check?(values: Readonly<Record<string, string>>): string | null;
  /** Does it; what it throws is said, and what was typed stays. */
  send(values: Readonly<Record<string, string>>): Promise<void>;
}

export interface AskDialog {
  ask(question: Question): void;
  /** Fills the field for the name, or the first one for words; false: nothing is asked, or it has no such field. */
  fill(field: "by" | "why", text: string): boolean;
  /** Answers the question that stands, as its button does. */
  send(): void;
  readonly asking: boolean;
}

/** A dialog for a question. It holds one at a time, and keeps what was typed until it has arrived. */
export function createAskDialog(host: HTMLElement, texts: Texts): AskDialog {
  const words = texts.ask;
  let question: Question | null = null;
  let asked = 0;
  let sending = false;
  let said: string | null = null;

  const input = (field: AskedField): TemplateResult => {
    const { name, kind, value, needed } = field;
    const id = `ask-${name}`;
    const required = needed !== null;
    switch (kind) {
      case "lines":
        return html`<textarea id=${id} name=${name} rows="3" ?required=${required} .value=${value}></textarea>`;
      case "choice":
        return html`<select id=${id} name=${name}>${field.options?.map(([option, label]) => html`<option value=${option} ?selected=${option === value}>${label}</option>`)}</select>`;
      case "moment":
        return html`<input id=${id} name=${name} type="datetime-local" step="1" ?required=${required} .value=${value} />`;
      default:
        return html`<input id=${id} name=${name} type=${kind} ?required=${required} .value=${value} autocomplete="off" min=${kind === "number" ? "0" : nothing} step=${kind === "number" ? "1" : nothing} />`;
    }
  };

  const dialog = (): HTMLDialogElement | null => host.querySelector("dialog");
  const close = (): void => dialog()?.close();
  const closed = (): void => {
    // A question that came at once after it has a dialog of its own.
    if (dialog()?.open === true) return;
    question = null;
    draw();
  };
  const submit = (event: Event): void => {
    event.preventDefault();
    const now = question;
    if (now === null || sending) return;
    const form = event.target as HTMLFormElement;
    const values: Record<string, string> = {};
    for (const [name, value] of new FormData(form)) values[name] = String(value).trim();
    const missing = now.fields.find((field) => field.needed !== null && (values[field.name] ?? "") === "");
    if (missing !== undefined) {
      said = missing.needed;
      draw();
      host.querySelector<HTMLElement>(`[name="${missing.name}"]`)?.focus();
      return;
    }
    const wrong = now.check?.(values) ?? null;
    if (wrong !== null) {
      said = wrong;
      draw();
      return;
    }
    sending = true;
    said = null;
    draw();
    now.send(values).then(
      () => {
        sending = false;
        if (question === now) close();
      },
      (error: unknown) => {
        sending = false;
        said = error instanceof Refusal ? error.message : words.notSent;
        draw();
      },
    );
  };

  function draw(): void {
    render(
      question === null
        ? nothing
        : keyed(
            asked,
            html`<dialog class="keys ask" aria-labelledby="ask-title" data-testid="ask" @close=${closed}>
            <form novalidate @submit=${submit}>
              <h2 id="ask-title">${question.title}</h2>
              <p class="second">${question.detail}</p>
              ${question.fields.map(
                (field) =>
                  html`<label class="asked" for=${`ask-${field.name}`}><span>${field.label}${field.needed === null ? html` <small class="second">${words.mayBeEmpty}</small>` : nothing}</span>${input(field)}</label>`,
              )}
              <p class="ask-said" role="alert" data-testid="ask-said">${said ?? ""}</p>
              <div class="ask-answers">
                <button type="submit" class="answer" data-testid="ask-send" ?disabled=${sending}>${sending ? words.sending : question.answer}</button>
                <button type="button" data-testid="ask-cancel" @click=${close}>${words.cancel}</button>
              </div>
            </form>
          </dialog>`,
          ),
      host,
    );
  }

  return {
    get asking() {
      return question !== null;
    },
    fill(field, text) {
      const name = field === "by" ? "by" : question?.fields.find((one) => one.kind === "lines")?.name;
      const input = name === undefined ? null : host.querySelector<HTMLInputElement>(`[name="${name}"]`);
      if (input === null) return false;
      input.value = text;
      return true;
    },
    send: () => host.querySelector("form")?.requestSubmit(),
    ask(next) {
      if (question !== null) close();
      question = next;
      asked++;
      sending = false;
      said = null;
      draw();
      dialog()?.showModal();
      const empty = next.fields.find((field) => field.value === "") ?? next.fields.at(0);
      host.querySelector<HTMLElement>(`[name="${empty?.name}"]`)?.focus();
    },
  };
}
