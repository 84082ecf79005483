import type { AlarmLive } from "../../../src/feed/alarmContract";
import type { OpenHub } from "../../../src/feed/hub";

type AlarmOrders = Pick<OpenHub, "acknowledge" | "shelve" | "unshelve" | "outOfService" | "returnToService" | "reset">;

/** The alarms of a scripted service: those that are told, and those that somebody has put aside. */
export class ScriptedAlarms {
  told: AlarmLive[] = [];
  hidden: AlarmLive[] = [];
  readonly acknowledged: string[] = [];
  /** Who acknowledged, and what they said. */
  readonly said: string[] = [];

  constructor(private readonly nowMs: () => number) {}

  /** One begins now; what it says is the service's, so it stands in the order. */
  begin(condition: string, priority: AlarmLive["priority"], said: Partial<AlarmLive>): void {
    const { channel = null } = said;
    const alarm: AlarmLive = {
      id: channel === null ? condition : `${condition}/${channel}`,
      condition,
      channel,
      state: "unacknowledged",
      since: this.nowMs(),
      value: null,
      limit: null,
      priority,
      holds: true,
      run: 1,
      figure: null,
      text: condition,
      where: "",
      what: "",
      consequence: "",
      action: "",
      howLong: "",
      timeToAct_s: null,
      by: "",
      comment: "",
      until: null,
      ...said,
    };
    this.told = [...this.told, alarm];
  }

  /** What they told of is over: those that somebody has seen are gone. */
  clear(): void {
    this.told = this.told.flatMap((alarm) =>
      alarm.state === "acknowledged" ? [] : [{ ...alarm, state: "returnedUnacknowledged" as const }],
    );
  }

  /** What people order. @param take gives the order, unless it is refused */
  orders(take: (give: () => void) => void): AlarmOrders {
    const move = (id: string, change: Pick<AlarmLive, "state" | "by" | "comment" | "until">): void =>
      take(() => this.move(id, change));
    return {
      shelve: async (_cell, id, by, comment, minutes) =>
        move(id, { state: "shelved", by, comment, until: this.nowMs() + minutes * 60_000 }),
      unshelve: async (_cell, id, by) => move(id, { state: "unacknowledged", by, comment: "", until: null }),
      outOfService: async (_cell, id, by, comment) => move(id, { state: "outOfService", by, comment, until: null }),
      returnToService: async (_cell, id, by, comment) =>
        move(id, { state: "unacknowledged", by, comment, until: null }),
      reset: async () => undefined,
      acknowledge: async (_cell, id, by, comment) => take(() => this.acknowledge(id, by, comment)),
    };
  }

  private acknowledge(id: string, by: string, comment: string): void {
    this.said.push(`${by}: ${comment}`);
    this.acknowledged.push(id);
    this.told = this.told.flatMap((alarm) =>
      alarm.id !== id
        ? [alarm]
        : alarm.state === "unacknowledged"
          ? [{ ...alarm, state: "acknowledged" as const }]
          : [],
    );
  }

  private move(id: string, change: Pick<AlarmLive, "state" | "by" | "comment" | "until">): void {
    const found = [...this.told, ...this.hidden].find((alarm) => alarm.id === id);
    if (found === undefined) return;
    this.told = this.told.filter((alarm) => alarm !== found);
    this.hidden = this.hidden.filter((alarm) => alarm !== found);
    const list = change.state === "unacknowledged" ? "told" : "hidden";
    this[list] = [...this[list], { ...found, ...change }];
  }
}
