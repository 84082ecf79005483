using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Thermocouples;
using ThermoWatch.Simulator;
using ThermoWatch.Simulator.Fleet;
using ThermoWatch.Simulator.Scenarios;

namespace ThermoWatch.Service.Tests.Situations;

/// <summary>One run of the simulated machine, as curves to be judged: what was measured, and what was true.</summary>
internal sealed record Played(FleetRun Run)
{
    private static readonly TimeSpan s_period = 2 * SimulatedCell.SamplePeriod;

    /// <summary>Channels as short ids; the simulator's names belong to people.</summary>
    public static string Product(int place) => $"tc{place + 1}";

    /// <summary>A run of a scenario, with what the scenario says of just that run.</summary>
    public static Played Scenario(string name, int run = 1, int seed = 6, Func<Scenario, Scenario>? change = null)
    {
        Scenario scenario = ScenarioLibrary.Find(name)!;
        scenario = change?.Invoke(scenario) ?? scenario;
        return Of(scenario with { Runs = [.. scenario.Runs.Where(r => r.Holds(run)).Select(r => r with { From = 1, To = null })] }, seed);
    }

    public static Played Of(Scenario scenario, int seed) => new(FleetRun.Play(new FleetMember(1, seed, scenario), s_period));

    public static Played Member(FleetOptions options, int number) => new(FleetRun.Play(FleetMember.Draw(options, number), s_period));

    /// <summary>Seconds at which the machine entered a phase, as it knows itself.</summary>
    public double At(string name) => Run.Events.First(e => e.Name == name).Seconds;

    public RecordedRun JudgeMeasured(Spec spec, IReadOnlyDictionary<string, Calibration>? calibrations = null) =>
        RecordedRun.Judge(File(MeasuredColumns()), spec, null, calibrations);

    public RecordedRun JudgeTruth(Spec spec) => RecordedRun.Judge(File(TrueColumns()), spec, null);

    public static FigureResult Figure(RecordedRun judged, string figure, string? channel = null) =>
        judged.Run.Figures.First(f => f.Figure == figure && f.ChannelId == channel);

    private CurveFile File(IEnumerable<CurveColumn> columns) =>
        new([.. Run.Rows.Select(r => (long)Math.Round(r.Seconds * TimeSpan.TicksPerSecond))], false, [.. columns]);

    private IEnumerable<CurveColumn> MeasuredColumns()
    {
        for (int i = Run.Member.Scenario.Instrumented ? 0 : SimulatedChannels.ProductCount; i < SimulatedChannels.ThermocoupleCount; i++)
        {
            int input = i;
            yield return Temperature(i, [.. Run.Rows.Select(r => r.Arrived ? Celsius(r.Measured, input) : double.NaN)]);
        }

        yield return Chamber([.. Run.Rows.Select(r => r.Arrived ? r.Measured.PressureMbar : double.NaN)]);
    }

    private IEnumerable<CurveColumn> TrueColumns()
    {
        for (int i = 0; i < SimulatedChannels.ProductCount; i++)
        {
            int place = i;
            yield return Temperature(i, [.. Run.Rows.Select(r => r.Truth.ProductCelsius[place])]);
        }

        yield return Temperature(SimulatedChannels.Vapour, [.. Run.Rows.Select(r => r.Truth.VapourCelsius)]);
        yield return Chamber([.. Run.Rows.Select(r => r.Truth.ChamberMbar)]);
    }

    private static double Celsius(InstrumentFrame frame, int input)
    {
        Converted hot = Thermocouple.K.ToCelsius(frame.Millivolts(input), frame.ColdJunctionCelsius);
        return hot.Quality.HasValue ? hot.Value : double.NaN;
    }

    private static CurveColumn Temperature(int input, IReadOnlyList<double> values) => input switch
    {
        SimulatedChannels.Vapour => new("vapour", ChannelRole.Vapour, Place.Joint, MeasuredUnit.DegreeCelsius, values),
        SimulatedChannels.Transport => new("transport", ChannelRole.Transport, Place.Joint, MeasuredUnit.DegreeCelsius, values),
        _ => new(Product(input), ChannelRole.Product, Place.Joint, MeasuredUnit.DegreeCelsius, values),
    };

    private static CurveColumn Chamber(IReadOnlyList<double> values) => new("chamber", ChannelRole.Pressure, Place.Joint, MeasuredUnit.Millibar, values);

    /// <summary>The usual spec of the simulated boards.</summary>
    public static Spec Sac305(params Limit[] limits) => new()
    {
        Name = "Inverter power board PB-6",
        Version = 1,
        Alloy = new Alloy("SAC305", 217, TrueFigures.LiquidusCelsius),
        Fluid = new Fluid("230", 230, 1013.25),
        Soak = new SoakBand(150, 180),
        Vacuum = new VacuumSpec(5, [new VacuumStepSpec("void", 5)]),
        Limits = [.. limits],
    };
}
