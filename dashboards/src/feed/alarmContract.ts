/** Alarms as they arrive from /hubs/live, and what can be asked for one; times as in the rest of the contract. */
export interface AlarmLive {
  readonly id: string;
  readonly condition: string;
  readonly channel: string | null;
  readonly state:
    | "unacknowledged"
    | "acknowledged"
    | "returnedUnacknowledged"
    | "latchedUnacknowledged"
    | "latchedAcknowledged"
    | "shelved"
    | "suppressedByDesign"
    | "outOfService";
  /** Null: never raised, and put aside all the same. */
  readonly since: number | null;
  readonly value: number | null;
  readonly limit: number | null;
  /** Unit of both; null if they are numbers, or there are none. */
  readonly unit?: string | null;
  readonly priority: "high" | "medium" | "low";
  readonly holds: boolean;
  readonly run: number | null;
  readonly figure: string | null;
  /** Whom outside the cell it is about, such as a feed. */
  readonly source?: string | null;
  /** What that one says, in its own language. */
  readonly words?: string | null;
  readonly text: string;
  readonly where: string;
  readonly what: string;
  readonly consequence: string;
  readonly action: string;
  readonly howLong: string;
  /** The same sentences in German. */
  readonly de?: AlarmWords;
  readonly timeToAct_s: number | null;
  readonly by: string;
  readonly comment: string;
  readonly until: number | null;
}
/** What an alarm says, in one language. */
export interface AlarmWords {
  readonly where: string;
  readonly what: string;
  readonly consequence: string;
  readonly action: string;
  readonly howLong: string;
}
/** What moves in an alarm while it stands; its texts stay. */
export interface AlarmNumbers {
  readonly id: string;
  readonly value: number | null;
  readonly timeToAct_s: number | null;
}
/** What somebody asks for an alarm; the name of the person goes with each. */
export interface AlarmOrders {
  /** Somebody has seen the alarm; the comment says what was done. */
  acknowledge(cell: number, alarmId: string, by: string, comment: string): Promise<void>;
  /** Somebody puts the alarm aside for some minutes; `once`: it comes back as soon as its condition is gone. */
  shelve(cell: number, alarmId: string, by: string, reason: string, minutes: number, once: boolean): Promise<void>;
  unshelve(cell: number, alarmId: string, by: string): Promise<void>;
  outOfService(cell: number, alarmId: string, by: string, reason: string): Promise<void>;
  returnToService(cell: number, alarmId: string, by: string, comment: string): Promise<void>;
  /** Somebody lets a latched alarm go. */
  reset(cell: number, alarmId: string, by: string, comment: string): Promise<void>;
}
