import { html, render } from "lit-html";
import { alarmsPage } from "../pages/alarmsPage";
import { historySection } from "../pages/historySection";
import { storedHead } from "../pages/storedHead";
import { createAlarmHistory } from "../state/alarmHistory";
import type { Prompt } from "../state/promptTypes";
import type { Route } from "../state/route";
import type { LiveNow } from "./cellPlace";
import type { Surroundings, Visit } from "./context";

/** Alarms that stand, and below them those that were. */
export function createAlarmsPlace(
  around: Surroundings,
  now: () => LiveNow,
  acknowledge: (prompt: Prompt) => void,
): Visit<Extract<Route, { place: "alarms" }>> {
  const { texts, page, live } = around;
  const history = createAlarmHistory(around.records, around.relay);
  /** The alarms that stood when the history was fetched last: when they change, it has grown. */
  let stood: string | null = null;
  const seen = new IntersectionObserver((entries) => {
    if (entries.some((entry) => entry.isIntersecting) && history.asked.kind === "here") history.next();
  });
  const observed = new WeakSet<Element>();
  const fetch = (): void => {
    const cell = live.layout?.cell;
    if (cell === undefined) return;
    const standing = (live.state?.alarms ?? []).map((alarm) => `${alarm.id}${alarm.state}`).join();
    if (stood === `${cell}/${standing}`) return;
    stood = `${cell}/${standing}`;
    history.begin(cell);
  };

  return {
    enter() {
      stood = null;
      fetch();
    },
    leave: () => history.leave(),
    layOut() {
      fetch();
      const { view, prompts, sending } = now();
      const place = around.place();
      render(
        alarmsPage({
          view,
          alarms: live.state?.alarms ?? [],
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
