import { html, render } from "lit-html";
import { type AlarmQuality, askQuality, type QualitySpan } from "../feed/quality";
import type { Ask } from "../feed/records";
import { type GiveOrder, orderQuestion } from "../pages/alarmQuestions";
import { alarmsPage } from "../pages/alarmsPage";
import { historySection } from "../pages/historySection";
import { qualitySection } from "../pages/qualitySection";
import { storedHead } from "../pages/storedHead";
import { createAlarmHistory } from "../state/alarmHistory";
import { type Asked, failed, isAbort } from "../state/asked";
import type { Prompt } from "../state/promptTypes";
import type { Route } from "../state/route";
import type { LiveNow } from "./cellPlace";
import type { Surroundings, Visit } from "./context";

/** Alarms that stand, and below them those that were. */
export function createAlarmsPlace(
  around: Surroundings,
  now: () => LiveNow,
  acknowledge: (prompt: Prompt) => void,
  give: GiveOrder,
  ask: Ask,
): Visit<Extract<Route, { place: "alarms" }>> {
  const { texts, page, live } = around;
  const history = createAlarmHistory(around.records, around.nowMs, around.relay);
  /** The alarms that stood when the history was fetched last: when they change, it has grown. */
  let stood: string | null = null;
  const seen = new IntersectionObserver((entries) => {
    if (entries.some((entry) => entry.isIntersecting) && history.asked.kind === "here") history.next();
  });
  const observed = new WeakSet<Element>();
  let entered: Extract<Route, { place: "alarms" }> = { place: "alarms", cell: null };
  let span: QualitySpan = "week";
  let quality: Asked<AlarmQuality> = { kind: "asking", sinceMs: 0 };
  let measuring = new AbortController();
  const measure = (cell: number): void => {
    measuring.abort();
    const mine = new AbortController();
    measuring = mine;
    askQuality(ask, cell, span, around.clockMs(), mine.signal).then(
      (value) => {
        if (measuring !== mine) return;
        quality = { kind: "here", value };
        around.relay();
      },
      (error: unknown) => {
        if (measuring !== mine || isAbort(error)) return;
        quality = failed(error);
        around.relay();
      },
    );
  };
  const fetch = (): void => {
    const cell = live.layout?.cell;
    if (cell === undefined) return;
    const standing = (live.state?.alarms ?? []).map((alarm) => `${alarm.id}${alarm.state}`).join();
    if (stood === `${cell}/${standing}`) return;
    stood = `${cell}/${standing}`;
    history.begin(cell);
    measure(cell);
  };

  return {
    enter(route) {
      entered = route;
      span = route.span ?? "week";
      stood = null;
      fetch();
    },
    leave() {
      history.leave();
      measuring.abort();
    },
    layOut() {
      fetch();
      const { view, prompts, sending } = now();
      const place = around.place();
      render(
        alarmsPage({
          view,
          alarms: live.state?.alarms ?? [],
          hidden: live.state?.hiddenAlarms ?? [],
          prompts: prompts.filter((prompt) => prompt.key.startsWith("link/")),
          sending,
          clockMs: around.clockMs(),
          lost: live.link.kind === "lost",
          texts,
          head: storedHead({
            title: texts.alarms.heading,
            what: html`${live.layout?.name ?? ""}`,
            demo: live.layout?.demo ?? false,
            clockMs: around.clockMs(),
            place,
            links: around.links(),
            tools: html``,
            texts,
          }),
          acknowledge,
          order: (kind, alarm, what) => around.dialog.ask(orderQuestion(kind, alarm, what, texts, give)),
          quality: qualitySection({
            span,
            asked: quality,
            layout: live.layout,
            texts,
            choose: (next) => {
              span = next;
              around.note({ place: "alarms", cell: entered.cell, ...(next === "week" ? {} : { span: next }) });
              if (live.layout !== null) measure(live.layout.cell);
              around.relay();
            },
          }),
          history: historySection({
            history,
            layout: live.layout,
            nowMs: around.clockMs(),
            width: page.clientWidth - (place === "desk" ? 32 : 24),
            texts,
          }),
        }),
        page,
      );
      const foot = page.querySelector(".history .list-foot");
      if (foot !== null && !observed.has(foot)) {
        observed.add(foot);
        seen.observe(foot);
      }
    },
    restyle: () => undefined,
    keys: {},
    title: () => texts.alarms.heading,
  };
}
