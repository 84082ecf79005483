using System.Collections.Immutable;
using System.Globalization;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Tests.Engine;

namespace ThermoWatch.Domain.Tests.Figures;

/// <summary>Curves given by corner points, run through the engine as one recorded run.</summary>
internal sealed record Example(ImmutableArray<(double Seconds, double Value)[]> Curves, bool PressureFirst)
{
    public static Example Parse(string samples, bool pressureFirst) => new(
        [.. samples.Split('|').Select(curve => curve.Split(' ', StringSplitOptions.RemoveEmptyEntries).Select(point =>
        {
            string[] parts = point.Split(':');
            return (double.Parse(parts[0], CultureInfo.InvariantCulture), double.Parse(parts[1], CultureInfo.InvariantCulture));
        }).ToArray())],
        pressureFirst);

    /// <summary>The ended run, as the engine leaves it.</summary>
    public RunPicture Judge(Spec spec, TimeSpan? gapLimit)
    {
        var rules = new CellRules { DetectRuns = false, GapLimit = gapLimit ?? TimeSpan.MaxValue };
        int products = Curves.Length - (PressureFirst ? 1 : 0);
        var engine = new CellEngine(Bench.Cell(products, PressureFirst, rules: rules));
        double[] times = [.. Curves.SelectMany(c => c.Select(p => p.Seconds)).Distinct().Order()];
        List<EngineInput> inputs = [new SpecInput(Bench.Epoch.AddSeconds(times[0]), "A", spec), new StartRunInput(Bench.Epoch.AddSeconds(times[0]), "A", "test")];
        foreach (double t in times)
        {
            // The cell lists the product channels first, the chamber last.
            IEnumerable<(double, double)[]> ordered = PressureFirst ? Curves.Skip(1).Append(Curves[0]) : Curves;
            double?[] values = [.. ordered.Select(c => c.Where(p => p.Item1 == t).Select(p => (double?)p.Item2).FirstOrDefault())];
            inputs.Add(new ScanInput(new RawScan(
                0, Bench.Epoch.AddSeconds(t), [.. values.Select(v => v ?? double.NaN)],
                [.. values.Select(v => v is null ? SignalQuality.Bad(QualityReason.NoReading) : SignalQuality.Good)])));
        }

        inputs.Add(new EndRunInput(Bench.Epoch.AddSeconds(times[^1]), "A", "test"));
        Bench.Feed(engine, inputs);
        return Assert.Single(engine.Picture().Runs);
    }
}
