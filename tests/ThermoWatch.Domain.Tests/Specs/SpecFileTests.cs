using System.Text;
using CsCheck;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using Spec = ThermoWatch.Domain.Specs.Spec;

namespace ThermoWatch.Domain.Tests.Specs;

public class SpecFileTests
{
    private const string Whole = """
        { "name": "Gate driver, lead-free", "version": 1,
          "alloy": { "name": "SAC305", "solidus": 217.0, "liquidus": 220.0 },
          "channelAlloys": { "tc4": { "name": "Sn42Bi58", "solidus": 138.0, "liquidus": 138.0 } },
          "fluid": { "name": "240", "boilingPoint": 240.0, "at_hPa": 1013.25 },
          "soak": { "from": 150.0, "to": 180.0 },
          "vacuum": { "target": 20.0, "unit": "mbar", "steps": [ { "purpose": "void", "target": 20.0 } ] },
          "classification": null, "slopeWindow": 5, "uncertainty": "simple",
          "measurement": { "class": 1, "extension": 1, "coldJunction_K": 0.5, "instrument_K": 0.5, "resolution_K": 0.1, "attachment_K": null },
          "limits": [
            { "figure": "sustainedPeak", "lower": 232, "places": ["joint"], "document": "paste sheet rev 4" },
            { "figure": "peakTemperature", "upper": 245, "places": ["body"], "document": "component sheet" },
            { "figure": "timeAboveLiquidus", "lower": 40, "upper": 90, "level": 217 },
            { "figure": "pumpDownTime", "upper": 15, "severity": "warn" } ] }
        """;

    private static SpecParse Parse(string json) => SpecFile.Parse(Encoding.UTF8.GetBytes(json));

    private static SpecFault Fault(string json) => Assert.Single(Parse(json).Faults);

    private static string With(string limits, string more = "") =>
        $$"""{ "name": "n", "version": 1, "alloy": { "name": "SAC305", "solidus": 217, "liquidus": 220 }, {{more}} "limits": [ {{limits}} ] }""";

    [Fact]
    public void Whole_spec_is_read_as_written()
    {
        SpecParse parse = Parse(Whole);
        Assert.Empty(parse.Faults);
        Spec spec = parse.Spec!;
        Assert.Equal(("Gate driver, lead-free", 1), (spec.Name, spec.Version));
        Assert.Equal(new Alloy("Sn42Bi58", 138, 138), spec.AlloyOf("tc4"));
        Assert.Equal(new Alloy("SAC305", 217, 220), spec.AlloyOf("tc1"));
        Assert.Equal((new Fluid("240", 240, 1013.25), new SoakBand(150, 180)), (spec.Fluid, spec.Soak));
        Assert.Equal(20, spec.Vacuum!.TargetMillibar);
        Assert.Equal(new VacuumStepSpec("void", 20), Assert.Single(spec.Vacuum.Steps));
        Assert.Null(spec.Classification);
        Assert.Equal(new MeasurementChain(1, 1, 0.5, 0.5, 0.1, null), spec.Measurement);
        Assert.Equal(4, spec.Limits.Length);
        Assert.Equal((232.0, Place.Joint, "paste sheet rev 4"), (spec.Limits[0].Lower!.Value, spec.Limits[0].Places[0], spec.Limits[0].Document));
        Assert.Equal((217.0, Severity.Fail), (spec.Limits[2].Level!.Value, spec.Limits[2].Severity));
        Assert.Equal(Severity.Warn, spec.Limits[3].Severity);
    }

    [Fact]
    public void Vacuum_target_in_another_unit_becomes_millibar()
    {
        Spec spec = Parse(With("", """ "vacuum": { "target": 2, "unit": "kPa" }, """)).Spec!;
        Assert.Equal(20, spec.Vacuum!.TargetMillibar, 1e-12);
    }

    [Fact]
    public void All_faults_come_at_once()
    {
        SpecParse parse = Parse("""{ "version": 0, "alloy": { "name": "", "solidus": "217", "liquidus": 220 }, "limit": [], "soak": 5 }""");
        Assert.Null(parse.Spec);
        Assert.Equal(
            ["$.alloy.name", "$.alloy.solidus", "$.limit", "$.limits", "$.name", "$.soak", "$.version"],
            parse.Faults.Select(f => f.Path).Order(StringComparer.Ordinal));
        Assert.All(parse.Faults, f => Assert.NotEqual("", f.Remedy));
    }

    [Theory]
    [InlineData("""{ "figure": "peakTemperature", "lower": 250, "upper": 240 }""", "", "$.limits[0]")]
    [InlineData("""{ "figure": "sustainedPeak", "lower": 245 }""", """ "fluid": { "name": "240", "boilingPoint": 240 }, """, "$.limits[0].lower")]
    [InlineData("""{ "figure": "peakTemperature", "upper": 235 }""", """ "fluid": { "name": "240", "boilingPoint": 240 }, """, "$.limits[0].upper")]
    [InlineData("""{ "figure": "soakTime", "upper": 90 }""", "", "$.limits[0]")]
    [InlineData("""{ "figure": "pumpDownTime", "upper": 90 }""", "", "$.limits[0]")]
    [InlineData("""{ "figure": "peakTemperatur", "upper": 90 }""", "", "$.limits[0].figure")]
    [InlineData("""{ "figure": "cycleTime" }""", "", "$.limits[0]")]
    [InlineData("""{ "figure": "cycleTime", "upper": 400, "places": ["joint"] }""", "", "$.limits[0]")]
    [InlineData("""{ "figure": "peakTemperature", "upper": 260, "level": 217 }""", "", "$.limits[0].level")]
    [InlineData("", """ "soak": { "from": 180, "to": 150 }, """, "$.soak")]
    [InlineData("", """ "fluid": { "name": "200", "boilingPoint": 200 }, """, "$.alloy")]
    [InlineData("", """ "vacuum": { "target": 0 }, """, "$.vacuum.target")]
    public void Contradiction_is_refused_where_it_stands(string limit, string more, string path) =>
        Assert.Equal(path, Fault(With(limit, more)).Path);

    [Fact]
    public void Two_documents_that_collide_are_both_named()
    {
        SpecFault fault = Fault(With("""
            { "figure": "sustainedPeak", "lower": 250, "places": ["joint"], "document": "paste sheet" },
            { "figure": "peakTemperature", "upper": 245, "places": ["body"], "document": "component sheet" }
            """));
        Assert.Contains("paste sheet", fault.Problem, StringComparison.Ordinal);
        Assert.Contains("component sheet", fault.Problem, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("")]
    [InlineData("[]")]
    [InlineData("{")]
    [InlineData("""{ "name": "a", "name": "b" }""")]
    [InlineData("""{ "name": "\ud800" }""")]
    public void Broken_text_is_a_fault_and_no_exception(string json) => Assert.NotEmpty(Parse(json).Faults);

    [Fact]
    public void Any_change_of_bytes_is_a_spec_or_faults()
    {
        byte[] whole = Encoding.UTF8.GetBytes(Whole);
        Gen.Select(Gen.Int[0, whole.Length - 1], Gen.Byte, Gen.Int[0, whole.Length]).Sample((at, value, length) =>
        {
            byte[] changed = [.. whole];
            changed[at] = value;
            SpecParse parse = SpecFile.Parse(changed.AsSpan(0, length));
            return parse.Spec is null == !parse.Faults.IsEmpty;
        }, iter: 3000, threads: 1);
    }
}
