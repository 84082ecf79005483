import { afterEach, describe, expect, it } from "vitest";
import { parsePreferences, readingOf } from "../../src/state/preferences";
import * as write from "../../src/texts/format";
import { fromShown, pressureUnits, temperatureUnits, toShown } from "../../src/texts/units";

afterEach(() => write.readAs(write.plainReading));

describe("units", () => {
  it("Fixed_points_are_where_tables_have_them", () => {
    // ITS-90: tin freezes at 231.928 degC = 505.078 K; 231.928 degC = 449.4704 degF.
    expect(toShown(231.928, "degC", { temperature: "K", pressure: "mbar" })).toBeCloseTo(505.078, 6);
    expect(toShown(231.928, "degC", { temperature: "degF", pressure: "mbar" })).toBeCloseTo(449.4704, 6);
    expect(toShown(-40, "degC", { temperature: "degF", pressure: "mbar" })).toBeCloseTo(-40, 9);
    // The standard atmosphere: 1013.25 hPa = 101325 Pa = 760 Torr.
    for (const [pressure, value] of [
      ["hPa", 1013.25],
      ["Pa", 101325],
      ["Torr", 760],
      ["mbar", 1013.25],
    ] as const)
      expect(toShown(1013.25, "mbar", { temperature: "degC", pressure })).toBeCloseTo(value, 6);
  });

  it("A_difference_has_no_zero_to_move", () => {
    const units = { temperature: "degF", pressure: "mbar" } as const;
    expect(toShown(10, "K", units)).toBeCloseTo(18, 9);
    expect(toShown(2, "K/s", units)).toBeCloseTo(3.6, 9);
    expect(toShown(10, "K", { temperature: "K", pressure: "mbar" })).toBe(10);
  });

  it("There_and_back_is_the_same", () => {
    for (const temperature of temperatureUnits)
      for (const pressure of pressureUnits)
        for (const value of [-40, 0.001, 1, 220, 1013.25])
          for (const unit of ["degC", "mbar"] as const) {
            const units = { temperature, pressure };
            expect(fromShown(toShown(value, unit, units), unit, units)).toBeCloseTo(value, 9);
          }
  });

  it("Numbers_are_written_in_what_was_chosen", () => {
    write.readAs({ ...write.plainReading, temperature: "degF", pressure: "Torr" });
    expect(write.withUnit(write.temperature(220), "degC")).toBe("428.0\u00a0°F");
    expect(write.withUnit(write.figure(5.1, "K", true), "K")).toBe("9.2\u00a0°F");
    expect(write.withUnit(write.pressure(1013.25), "mbar")).toBe("760\u00a0Torr");
    expect(write.limit(5, "mbar")).toBe("3.75");
    expect(write.limit(60, "s")).toBe("60");
    write.readAs({ ...write.plainReading, pressure: "Pa", decimal: "," });
    expect(write.withUnit(write.pressure(0.5), "mbar")).toBe("50,0\u00a0Pa");
    expect(write.fixed(-1.5, 1)).toBe("\u22121,5");
  });

  it("A_small_limit_keeps_its_digits", () => {
    expect(write.limit(0.0012, "mbar")).toBe("0.0012");
    expect(write.limit(-2, "K/s")).toBe("\u22122");
  });

  it("Times_can_be_read_in_UTC", () => {
    const ms = Date.UTC(2026, 10, 25, 23, 30, 5);
    write.readAs({ ...write.plainReading, utc: true });
    expect(write.clock(ms)).toBe("23:30:05\u00a0UTC");
    expect(write.day(ms)).toBe("25 Nov 2026");
    write.readAs({ ...write.plainReading, utc: true, language: "de" });
    expect(write.day(ms)).toBe("25. Nov. 2026");
    expect(write.utc(ms)).toBe("2026-11-25 23:30:05 UTC");
  });
});

describe("preferences", () => {
  it("What_was_kept_is_read_as_far_as_it_is_understood", () => {
    expect(parsePreferences(null, "en-US")).toEqual({
      language: "en",
      temperature: "degC",
      pressure: "mbar",
      utc: false,
    });
    expect(parsePreferences(null, "de-AT").language).toBe("de");
    expect(parsePreferences(null, "fr").language).toBe("en");
    expect(parsePreferences('{"language":"en","temperature":"K","pressure":"bar","utc":"yes"}', "de")).toEqual({
      language: "en",
      temperature: "K",
      pressure: "mbar",
      utc: false,
    });
    for (const broken of ["{", "null", "[]", "7"]) expect(parsePreferences(broken, "en").temperature).toBe("degC");
  });

  it("German_writes_a_comma", () => {
    expect(readingOf(parsePreferences(null, "de")).decimal).toBe(",");
    expect(readingOf(parsePreferences(null, "en")).decimal).toBe(".");
  });
});
