using System.Globalization;
using ThermoWatch.Domain.Pressure;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Tests.Figures;

namespace ThermoWatch.Domain.Tests.Pressure;

/// <summary>Every row of reference/process/vacuum_examples.csv: handbooks, courses, gauge manuals and regulations, named there.</summary>
public class VacuumExampleTests
{
    private static readonly IReadOnlyList<IReadOnlyDictionary<string, string>> s_table = ReferenceTable.Read("process/vacuum_examples.csv");

    public static TheoryData<string> Names() => [.. s_table.Select(r => r["name"])];

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    [Fact]
    public void All_rows_are_read() => Assert.Equal(35, s_table.Count);

    [Theory]
    [MemberData(nameof(Names))]
    public void Example_agrees(string name)
    {
        IReadOnlyDictionary<string, string> row = s_table.Single(r => r["name"] == name);
        Dictionary<string, string> inputs = row["inputs"].Split(';').Select(p => p.Split('=')).ToDictionary(p => p[0], p => p[1]);
        object found = Compute(name, key => Number(inputs[key]), key => [.. inputs[key].Split(' ').Select(Number)]);

        if (found is double[] many)
        {
            Assert.Equal(row["expected"].Split(' ').Select(Number), many, (a, b) => Math.Abs(a - b) <= Number(row["tolerance"]));
        }
        else if (found is double one)
        {
            Assert.Equal(Number(row["expected"]), one, Number(row["tolerance"]));
        }
        else
        {
            Assert.Equal(row["expected"], found);
        }
    }

    private static object Compute(string name, Func<string, double> v, Func<string, double[]> many) => name switch
    {
        "pumpdown_1m3_to_500" or "pumpdown_1m3_to_100" => VacuumPhysics.PumpDownTime(v("V_m3"), v("S_m3_per_s"), v("p0_mbar"), v("p1_mbar"))!.Value,
        "required_speed_1000m3" => VacuumPhysics.SpeedFor(v("V_m3"), v("t_min"), v("p0_mbar"), v("p1_mbar")),
        "gas_volume_750ft3" => VacuumPhysics.SpeedFor(v("V_ft3"), 1, v("p0_torr"), v("p1_torr")),
        "required_speed_750ft3" => VacuumPhysics.SpeedFor(v("V_ft3"), v("t_min"), v("p0_torr"), v("p1_torr")),
        "pumpdown_with_base" or "pumpdown_never_reached" => VacuumPhysics.PumpDownTime(
            v("V_m3"), v("S_m3_per_h") / 3600, v("p0_mbar"), v("p1_mbar"), v("pb_mbar")) ?? (object)"never",
        "base_pressure_from_leak" => VacuumPhysics.EndPressure(v("q_mbar_l_per_s"), v("S_l_per_s")),
        "effective_speed_series" => VacuumPhysics.EffectiveSpeed(v("S_m3_per_s"), v("C_m3_per_s")),
        "leak_unit_definition" => VacuumPhysics.GasLoad(v("V_l"), v("dp_mbar"), v("dt_s")),
        "leak_bicycle_tube" => VacuumPhysics.GasLoad(v("V_m3"), v("dp_Pa"), v("dt_s")),
        "leak_molar_vacuum_decay" => VacuumPhysics.MolarGasLoad(v("V_m3"), (v("p1_Pa"), v("T1_K")), (v("p2_Pa"), v("T2_K")), v("dt_s")),
        "rise_rates_intervals" => many("p_mbar").Zip(many("p_mbar").Skip(1)).Zip(many("t_min").Zip(many("t_min").Skip(1)))
            .Select(s => VacuumPhysics.GasLoad(1, s.First.Second - s.First.First, s.Second.Second - s.Second.First)).ToArray(),
        "rise_classification_a" => PressureRise.Of(many("t_min"), many("p_mbar")).Cause.ToString().ToLowerInvariant(),
        "gauge_log_same_in_torr" => new AnalogueLaw.Logarithmic(6.875, 0.6).Apply(v("U_V")),
        "gauge_log_same_in_pascal" => new AnalogueLaw.Logarithmic(5.6, 0.6).Apply(v("U_V")),
        "gauge_log_status_fault_low" or "gauge_log_status_overrange" => Status(SignalBands.SixTenthsOfAVoltPerDecade.Of(v("U_V"))),
        "gauge_linear_capacitive" => new AnalogueLaw.Linear(0, 10, 0, v("FS_torr")).Apply(v("U_V")),
        "gauge_log_1V_per_decade_low" or "gauge_log_1V_per_decade_high" => new AnalogueLaw.Logarithmic(4, 1).Apply(v("U_V")),
        "gauge_pseudo_log" => new AnalogueLaw.PseudoLogarithmic().Apply(v("U_V")),
        _ when name.StartsWith("gauge_log_0V6", StringComparison.Ordinal) => new AnalogueLaw.Logarithmic(6.8, 0.6).Apply(v("U_V")),
        "loop_4_20mA_scaling" => new AnalogueLaw.Linear(4, 20, v("LRV"), v("URV")).Apply(v("I_mA")),
        _ when name.StartsWith("ne43", StringComparison.Ordinal) => Band(SignalBands.Ne43.Of(v("I_mA")), v("I_mA")),
        "boyle_balloon" => v("V1_l") * VacuumPhysics.Expansion(v("p1_atm"), v("p2_atm")),
        "void_growth_volume_10mbar" => VacuumPhysics.Expansion(v("p1_mbar"), v("p2_mbar")),
        "void_growth_diameter_10mbar" => VacuumPhysics.BubbleGrowth(1e-4, 0, v("p1_mbar"), v("p2_mbar")),
        "void_growth_with_surface_tension" => VacuumPhysics.BubbleGrowth(v("r1_um") * 1e-6, v("gamma_N_per_m"), v("p1_Pa"), v("p2_Pa")),
        "inerting_two_evacuations" => 1e6 * VacuumPhysics.Inerted(v("x0"), v("p0_mbar"), v("p1_mbar"), (int)v("n")),
        _ => throw new ArgumentOutOfRangeException(nameof(name), name, "No check for this row."),
    };

    private static string Status(SignalQuality quality) => quality switch
    {
        { Reason: QualityReason.OverRange } => "overrange",
        { Level: Quality.Bad } => "sensor_error",
        _ => $"{quality}",
    };

    private static string Band(SignalQuality quality, double milliamperes) => quality switch
    {
        { Reason: QualityReason.OverRange } => "overrange",
        { Reason: QualityReason.UnderRange } => "underrange",
        { Level: Quality.Bad } => milliamperes < 4 ? "fault_low" : "fault_high",
        _ => $"{quality}",
    };
}
