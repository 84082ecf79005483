import { describe, expect, it } from "vitest";
import * as write from "../../src/texts/format";

describe("format", () => {
  it("Pressures_carry_three_significant_digits", () => {
    for (const [mbar, text] of [
      [1013.25, "1010"],
      [995.4, "995"],
      [101.32, "101"],
      [10.14, "10.1"],
      [9.996, "10.0"],
      [1.8, "1.80"],
      [0.01234, "0.0123"],
      [0, "0"],
    ] as const)
      expect(write.pressure(mbar)).toBe(text);
  });

  it("Seconds_carry_a_tenth_under_ten_and_when_final", () => {
    expect(write.seconds(9.94, false)).toBe("9.9");
    expect(write.seconds(64.3, false)).toBe("64");
    expect(write.seconds(64.3, true)).toBe("64.3");
  });

  it("A_true_minus_and_never_a_negative_zero", () => {
    expect(write.fixed(-2, 0)).toBe("\u22122");
    expect(write.fixed(-0.04, 1)).toBe("0.0");
  });

  it("Times_and_spans", () => {
    expect(write.runTime(267)).toBe("4:27");
    expect(write.runTime(3725)).toBe("1:02:05");
    expect(write.span(0.31)).toBe("0.3\u00a0s");
    expect(write.span(38)).toBe("38\u00a0s");
    expect(write.span(135)).toBe("2\u00a0min 15\u00a0s");
    expect(write.about(33)).toBe("35\u00a0s");
  });
});
