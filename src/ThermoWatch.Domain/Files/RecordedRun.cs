using System.Collections.Immutable;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Files;

/// <summary>A curve file judged: it is one run, and the engine lives through it as it would live.</summary>
/// <param name="Run">The ended run.</param>
/// <param name="Events">What the engine said, in its order.</param>
/// <param name="Origin">The moment that counts as second zero of the file.</param>
public sealed record RecordedRun(RunPicture Run, ImmutableArray<EngineEvent> Events, Timestamp Origin)
{
    private const string Carrier = "carrier";

    /// <summary>Where files that count seconds are put in time: any moment does, as nothing depends on it.</summary>
    private static readonly long s_zero = new DateTime(2000, 1, 1, 0, 0, 0, DateTimeKind.Utc).Ticks;

    /// <summary>Judges a curve file.</summary>
    /// <param name="file">The curves.</param>
    /// <param name="spec">The spec.</param>
    /// <param name="gapLimit">Longest distance of two readings that belong together; null: by the definition; the greatest time span: any.</param>
    /// <param name="calibrations">Calibrations to apply to the file's values, by column; null: they are taken as they stand.</param>
    public static RecordedRun Judge(CurveFile file, Spec spec, TimeSpan? gapLimit, IReadOnlyDictionary<string, Calibration>? calibrations = null)
    {
        ArgumentNullException.ThrowIfNull(file);
        ArgumentNullException.ThrowIfNull(spec);
        long zero = file.IsUtc ? 0 : s_zero;
        var start = new Timestamp(zero + file.Ticks[0]);
        var end = new Timestamp(zero + file.Ticks[^1]);
        CellDefinition cell = CellOf(file, gapLimit);
        var engine = new CellEngine(calibrations is null ? cell : Recalibration.Of(cell, calibrations), Math.Clamp(file.Ticks.Count, 16, 1 << 20));
        var events = new List<EngineEvent>();
        engine.Advance(new SpecInput(start, Carrier, spec), events);
        engine.Advance(new StartRunInput(start, Carrier, "file", RunKind.Profile), events);
        Timestamp last = start;
        for (int row = 0; row < file.Ticks.Count; row++)
        {
            var time = new Timestamp(zero + file.Ticks[row]);

            // A second in which nothing came is an input too, as it is when the cell is live.
            for (last = last.AddSeconds(1); last < time; last = last.AddSeconds(1))
            {
                engine.Advance(new TickInput(last), events);
            }

            last = time;
            engine.Advance(new ScanInput(ScanOf(file, row, time)), events);
        }

        engine.Advance(new EndRunInput(end, Carrier, "file"), events);
        return new RecordedRun(engine.Picture().Runs[0], [.. events], file.IsUtc ? start : new Timestamp(zero));
    }

    private static RawScan ScanOf(CurveFile file, int row, Timestamp time)
    {
        var values = new double[file.Columns.Length];
        var qualities = new SignalQuality[file.Columns.Length];
        for (int i = 0; i < values.Length; i++)
        {
            values[i] = file.Columns[i].Values[row];
            qualities[i] = double.IsNaN(values[i]) ? SignalQuality.Bad(QualityReason.NoReading) : SignalQuality.Good;
        }

        return new RawScan(0, time, values, qualities);
    }

    private static CellDefinition CellOf(CurveFile file, TimeSpan? gapLimit)
    {
        ImmutableDictionary<string, TimeSpan> intervals = file.Columns.ToImmutableDictionary(c => c.Name, c => MedianStep(file, c));
        return new CellDefinition
        {
            Number = 1,
            Name = "file",
            Carriers = [Carrier],
            Devices = [new DeviceDefinition("file", "file", intervals.Values.DefaultIfEmpty().Max(), [.. file.Columns.Select(c => c.Name)])],
            Channels =
            [
                .. file.Columns.Select(c => new ChannelDefinition
                {
                    Id = c.Name,
                    Name = c.Name,
                    Role = c.Role,
                    Place = c.Place,
                    Carrier = c.Role == ChannelRole.Product ? Carrier : null,
                    Device = "file",
                    Point = c.Name,
                    Conversion = new ChannelConversion { Unit = c.Unit },
                }),
            ],
            Rules = new CellRules { DetectRuns = false, GapLimit = gapLimit, NominalIntervals = intervals },
        };
    }

    /// <summary>The channel's nominal interval: the median of its steps.</summary>
    private static TimeSpan MedianStep(CurveFile file, CurveColumn column)
    {
        var steps = new List<long>(file.Ticks.Count);
        long last = long.MinValue;
        bool even = true;
        for (int row = 0; row < file.Ticks.Count; row++)
        {
            if (double.IsNaN(column.Values[row]))
            {
                continue;
            }

            if (last != long.MinValue && file.Ticks[row] > last)
            {
                steps.Add(file.Ticks[row] - last);
                even &= steps[^1] == steps[0];
            }

            last = file.Ticks[row];
        }

        if (!even)
        {
            steps.Sort();
        }

        return steps.Count == 0 ? TimeSpan.FromSeconds(1) : new TimeSpan(steps[steps.Count / 2]);
    }
}
