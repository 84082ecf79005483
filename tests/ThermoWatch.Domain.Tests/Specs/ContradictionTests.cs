using System.Text;
using ThermoWatch.Domain.Pressure;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Tests.Specs;

/// <summary>What no run could meet is refused before one, with both papers named.</summary>
public class ContradictionTests
{
    private static SpecParse Parse(string limits, string more = "") => SpecFile.Parse(Encoding.UTF8.GetBytes(
        $$"""{ "name": "x", "version": 1, "alloy": "SAC305", {{more}} "limits": [ {{limits}} ] }"""));

    private const string Fluid240 = """ "fluid": { "name": "240", "boilingPoint": 240 }, """;

    private const string Vacuum5 = """ "vacuum": { "target": 5, "steps": [ { "purpose": "preheat", "target": 600 }, { "purpose": "void" } ] }, """;

    [Theory]
    [InlineData(""" { "figure": "sustainedPeak", "lower": 245, "document": "paste" } """, Fluid240, "$.limits[0].lower", "paste", "240")]
    [InlineData(""" { "figure": "peakTemperature", "upper": 235, "document": "relay" } """, Fluid240, "$.limits[0].upper", "relay", "240")]
    [InlineData(""" { "figure": "timeAboveLiquidus", "lower": 10, "level": 245, "document": "paste" } """, Fluid240, "$.limits[0].lower", "paste", "240")]
    [InlineData(""" { "figure": "moltenAtEvacuation", "lower": 25, "document": "lab" } """, Fluid240 + Vacuum5, "$.limits[0].lower", "lab", "must reach 245")]
    [InlineData("", """ "fluid": { "name": "240", "boilingPoint": 240 }, "channelAlloys": { "tc1": "Sn95Sb5" }, """, "$.channelAlloys.tc1", "Sn95Sb5", "240")]
    [InlineData("", """ "fluid": { "name": "260", "boilingPoint": 260 }, "classification": 245, """, "$.classification", "245", "260")]
    [InlineData("", """ "fluid": { "name": "170", "boilingPoint": 230 }, "soak": { "from": 150, "to": 235 }, """, "$.soak.to", "235", "170")]
    [InlineData("""
        { "figure": "longestAboveLiquidus", "lower": 60, "document": "paste" }, { "figure": "timeAboveLiquidus", "upper": 50, "document": "choke" }
        """, "", "$.limits[0]", "paste", "choke")]
    [InlineData("""
        { "figure": "timeAboveLiquidus", "lower": 60, "document": "paste" }, { "figure": "timeAboveLiquidus", "upper": 50, "level": 215, "document": "choke" }
        """, "", "$.limits[0]", "paste", "choke")]
    [InlineData("""
        { "figure": "moltenVacuum", "lower": 60, "document": "void study" }, { "figure": "timeAboveLiquidus", "upper": 50, "places": ["body"], "document": "choke" }
        """, Vacuum5, "$.limits[0]", "void study", "choke")]
    [InlineData("""
        { "figure": "timeAboveLiquidus", "upper": 90, "lower": 70, "document": "paste" }, { "figure": "cycleTime", "upper": 60, "document": "line" }
        """, "", "$.limits[0]", "paste", "line")]
    [InlineData(""" { "figure": "lowestPressure", "lower": 10, "document": "capacitor" } """, Vacuum5, "$.limits[0].lower", "capacitor", "$.vacuum")]
    [InlineData(""" { "figure": "evacuations", "lower": 2, "document": "lab" } """, Vacuum5, "$.limits[0]", "lab", "$.vacuum.steps")]
    [InlineData(""" { "figure": "vacuumHold", "lower": 2, "document": "lab" } """,
        """ "vacuum": { "target": 600, "steps": [ { "purpose": "preheat" } ] }, """, "$.limits[0]", "lab", "$.vacuum.steps")]
    [InlineData(""" { "figure": "coolingRate", "lower": -4, "upper": -1 } """, "", "$.limits[0].upper", "coolingRate", "-1")]
    public void Contradiction_is_refused_and_names_both(string limits, string more, string path, string one, string other)
    {
        SpecFault fault = Assert.Single(Parse(limits, more).Faults);
        Assert.Equal(path, fault.Path);
        Assert.Contains(one, fault.Problem, StringComparison.Ordinal);
        Assert.Contains(other, fault.Problem, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(""" { "figure": "timeAboveLiquidus", "lower": 60 }, { "figure": "timeAboveLiquidus", "upper": 30, "level": 235 } """, "")]
    [InlineData(""" { "figure": "soakTime", "lower": 60, "channels": ["tc1"] }, { "figure": "soakTime", "upper": 50, "places": ["body"] } """, """ "soak": { "from": 150, "to": 180 }, """)]
    [InlineData(""" { "figure": "moltenToEvacuation", "lower": -20, "upper": -5 } """, Vacuum5)]
    [InlineData(""" { "figure": "peakTemperature", "upper": 240 }, { "figure": "sustainedPeak", "lower": 240 } """, Fluid240)]
    [InlineData(""" { "figure": "evacuations", "lower": 1, "upper": 1 } """, Vacuum5)]
    // First side of a board whose second side is soldered cold: its own alloy must not melt.
    [InlineData(""" { "figure": "peakTemperature", "upper": 210, "channels": ["tc1"] } """, """ "channelAlloys": { "tc2": "Sn42Bi58" }, """)]
    public void What_a_run_can_meet_is_taken(string limits, string more) => Assert.Empty(Parse(limits, more).Faults);

    [Fact]
    public void Fluid_that_is_known_at_another_pressure_is_taken_as_it_is_there()
    {
        // 230 °C at 898.75 hPa; the vapour there is 230 °C, and the limit may ask for it.
        Assert.Empty(Parse(""" { "figure": "sustainedPeak", "lower": 229 } """, """ "fluid": { "name": "x", "boilingPoint": 230, "at_hPa": 898.75 }, """).Faults);
    }

    [Fact]
    public void Thin_air_makes_a_reachable_peak_unreachable()
    {
        Spec spec = Parse(""" { "figure": "sustainedPeak", "lower": 228, "document": "paste sheet" } """, """ "fluid": { "name": "230", "boilingPoint": 230 }, """).Spec!;
        Assert.Empty(SpecAgainstCell.Check(spec, new CellAbilities { UsualAmbientHectopascal = 1005 }));

        // At 1000 m the vapour of this fluid is 224.5 to 226.2 °C, whichever enthalpy it has.
        SpecFault fault = Assert.Single(SpecAgainstCell.Check(spec, new CellAbilities { UsualAmbientHectopascal = 898.75 }));
        Assert.Equal("$.limits[0].lower", fault.Path);
        Assert.Contains("paste sheet", fault.Problem, StringComparison.Ordinal);
        Assert.Contains("898.8 hPa", fault.Problem, StringComparison.Ordinal);
    }

    private static ChannelDefinition Gauge(ChannelConversion conversion) => new()
    {
        Id = "p",
        Name = "Chamber",
        Role = ChannelRole.Pressure,
        Device = "d",
        Point = "p",
        Conversion = conversion,
    };

    public static TheoryData<string, double, bool> Gauges() => new()
    {
        { "range from 10 mbar", 5, true },
        { "range from 10 mbar", 12, false },
        { "1000 mbar linear", 2, true },
        { "1000 mbar linear", 3, false },
        { "10 Torr linear", 0.03, true },
        { "10 Torr linear", 0.05, false },
        { "logarithmic", 0.01, false },
        { "table from 1 mbar", 0.5, true },
        { "table from 1 mbar", 1, false },
        { "steps of 2 mbar", 5, true },
        { "steps of 2 mbar", 6, false },
        { "base of 4 mbar", 5, true },
        { "base of 4 mbar", 6, false },
    };

    [Theory]
    [MemberData(nameof(Gauges))]
    public void Target_that_the_gauge_cannot_show_is_refused(string gauge, double target, bool refused)
    {
        var plain = new ChannelConversion { Unit = MeasuredUnit.Millibar };
        var cell = new CellAbilities
        {
            Gauge = Gauge(gauge switch
            {
                "range from 10 mbar" => plain with { Lowest = 10, Highest = 1200 },
                "1000 mbar linear" => plain with { Law = new AnalogueLaw.Linear(0, 10, 0, 1000) },
                "10 Torr linear" => plain with { Law = new AnalogueLaw.Linear(0, 10, 0, 10), PressureUnit = PressureUnit.Torr },
                "logarithmic" => plain with { Law = new AnalogueLaw.Logarithmic(6.8, 0.6) },
                "table from 1 mbar" => plain with { Law = new AnalogueLaw.Table([(0, 1), (10, 1000)]) },
                _ => plain,
            }),
            GaugeResolutionMillibar = gauge == "steps of 2 mbar" ? 2 : null,
            UsualBaseMillibar = gauge == "base of 4 mbar" ? 4 : null,
        };
        Spec spec = Parse("", " \"vacuum\": { \"target\": " + target.ToString(System.Globalization.CultureInfo.InvariantCulture) + " }, ").Spec!;

        System.Collections.Immutable.ImmutableArray<SpecFault> faults = SpecAgainstCell.Check(spec, cell);
        Assert.Equal(refused, !faults.IsEmpty);
        Assert.All(faults, f => Assert.StartsWith("$.vacuum.target is", f.Problem, StringComparison.Ordinal));
    }

    [Fact]
    public void Vacuum_without_a_gauge_is_no_contradiction() => Assert.Empty(SpecAgainstCell.Check(Parse("", Vacuum5).Spec!, new CellAbilities()));

    [Fact]
    public void Each_step_has_its_own_target_to_be_shown()
    {
        var cell = new CellAbilities { Gauge = Gauge(new ChannelConversion { Unit = MeasuredUnit.Millibar, Lowest = 10 }) };
        Spec spec = Parse("", """ "vacuum": { "target": 20, "steps": [ { "purpose": "void", "target": 5 } ] }, """).Spec!;
        Assert.Equal("$.vacuum.steps[0].target", Assert.Single(SpecAgainstCell.Check(spec, cell)).Path);
    }
}
