import { describe, expect, it } from "vitest";
import { annotationsOf, withAnnotation } from "../../src/state/annotations";

describe("annotations", () => {
  it("Come_back_as_they_were_put_in_beside_other_remarks", () => {
    let remarks: string | null = "Humid day.";
    remarks = withAnnotation(remarks, { at_s: 251.26, text: "door felt\nwarm " });
    remarks = withAnnotation(remarks, { at_s: 12, text: "loaded late" });
    expect(remarks).toBe("Humid day.\n@4:11.3 door felt warm\n@0:12.0 loaded late");
    expect(annotationsOf(remarks)).toEqual([
      { at_s: 12, text: "loaded late" },
      { at_s: 251.3, text: "door felt warm" },
    ]);
  });

  it("Sixty_seconds_are_a_minute_and_hours_are_minutes", () => {
    expect(withAnnotation(null, { at_s: 59.96, text: "x" })).toBe("@1:00.0 x");
    expect(annotationsOf(withAnnotation(null, { at_s: 5400, text: "x" }))).toEqual([{ at_s: 5400, text: "x" }]);
  });

  it("Other_lines_are_none", () => {
    expect(annotationsOf("mail to a@b.example\n@noon it rained\n4:11 no sign")).toEqual([]);
    expect(annotationsOf(null)).toEqual([]);
  });
});
