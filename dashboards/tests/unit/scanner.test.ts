import { describe, expect, it } from "vitest";
import { type CodeActions, obeyCode } from "../../src/pages/scanner";

function heard(...codes: string[]): string[] {
  const said: string[] = [];
  const actions: CodeActions = {
    seen: () => void said.push("seen"),
    decide: (kind) => void said.push(`decide ${kind}`),
    go: (place) => void said.push(`go ${place}`),
    serial: (number) => void said.push(`serial ${number}`),
    fill: (field, text) => said.push(`fill ${field} ${text}`) > 0,
    person: (name) => void said.push(`person ${name}`),
    send: () => void said.push("send"),
  };
  for (const code of codes) obeyCode(code, actions);
  return said;
}

describe("scanned codes", () => {
  it("Ask_for_the_main_actions_and_places", () => {
    expect(heard("SEEN", "RELEASE", "SCRAP", "ALARMS", "SEND")).toEqual([
      "seen",
      "decide release",
      "decide scrap",
      "go alarms",
      "send",
    ]);
  });

  it("Name_the_person_and_the_reason", () => {
    expect(heard("BY-SHIFT LEAD 2", "WHY-ALL LIMITS MET")).toEqual([
      "person SHIFT LEAD 2",
      "fill by SHIFT LEAD 2",
      "fill why ALL LIMITS MET",
    ]);
  });

  it("What_is_no_order_is_a_board", () => {
    expect(heard("GD-188", "4711", "RELEASED")).toEqual(["serial GD-188", "serial 4711", "serial RELEASED"]);
  });
});
