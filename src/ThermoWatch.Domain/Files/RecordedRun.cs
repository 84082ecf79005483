using System.Collections.Immutable;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Files;

/// <summary>Recorded curves judged: they are one run, and the engine lives through it as it would live.</summary>
/// <param name="Run">The ended run.</param>
/// <param name="Events">What the engine said, in its order.</param>
/// <param name="Origin">The moment that counts as second zero of the file.</param>
public sealed record RecordedRun(RunPicture Run, ImmutableArray<EngineEvent> Events, Timestamp Origin)
{
    private const string Carrier = "carrier";

    /// <summary>Where files that count seconds are put in time: any moment does, as nothing depends on it.</summary>
    private static readonly long s_zero = new DateTime(2000, 1, 1, 0, 0, 0, DateTimeKind.Utc).Ticks;

    /// <summary>Judges recorded curves.</summary>
    /// <param name="curves">The curves.</param>
    /// <param name="spec">The spec.</param>
    /// <param name="gapLimit">Longest distance of two readings that belong together; null: by the definition; the greatest time span: any.</param>
    /// <param name="calibrations">Calibrations to apply to the file's values, by column; null: they are taken as they stand.</param>
    public static RecordedRun Judge(ICurves curves, Spec spec, TimeSpan? gapLimit, IReadOnlyDictionary<string, Calibration>? calibrations = null)
    {
        ArgumentNullException.ThrowIfNull(curves);
        ArgumentNullException.ThrowIfNull(spec);
        CurveSurvey survey = curves.Survey;
        long zero = survey.IsUtc ? 0 : s_zero;
        var start = new Timestamp(zero + survey.FirstTicks);
        var end = new Timestamp(zero + survey.LastTicks);
        CellDefinition cell = CellOf(curves.Heads, survey, gapLimit);

        // Space for a run's curves is taken once: arrays that double while they grow hold their readings twice.
        long[] readings = [.. cell.Channels.Select((_, i) => survey.ReadingsOf(i))];
        var engine = new CellEngine(calibrations is null ? cell : Recalibration.Of(cell, calibrations), readings);
        var events = new List<EngineEvent>();
        engine.Advance(new SpecInput(start, Carrier, spec), events);
        engine.Advance(new StartRunInput(start, Carrier, "file", RunKind.Profile), events);
        curves.Read(new Feeder(engine, zero, start, events));
        engine.Advance(new EndRunInput(end, Carrier, "file"), events);
        return new RecordedRun(engine.Picture().Runs[0], [.. events], survey.IsUtc ? start : new Timestamp(zero));
    }

    private static CellDefinition CellOf(ImmutableArray<CurveHead> heads, CurveSurvey survey, TimeSpan? gapLimit)
    {
        ImmutableDictionary<string, TimeSpan> intervals = heads.Select((h, i) => (h.Name, Interval: survey.IntervalOf(i))).ToImmutableDictionary(x => x.Name, x => x.Interval);
        return new CellDefinition
        {
            Number = 1,
            Name = "file",
            Carriers = [Carrier],
            Devices = [new DeviceDefinition("file", "file", intervals.Values.DefaultIfEmpty().Max(), [.. heads.Select(h => h.Name)])],
            Channels =
            [
                .. heads.Select(h => new ChannelDefinition
                {
                    Id = h.Name,
                    Name = h.Name,
                    Role = h.Role,
                    Place = h.Place,
                    Carrier = h.Role == ChannelRole.Product ? Carrier : null,
                    Device = "file",
                    Point = h.Name,
                    Conversion = new ChannelConversion { Unit = h.Unit },
                }),
            ],
            Rules = new CellRules { DetectRuns = false, GapLimit = gapLimit, NominalIntervals = intervals },
        };
    }

    /// <summary>Gives rows to the engine, as they would come live.</summary>
    private sealed class Feeder(CellEngine engine, long zero, Timestamp last, List<EngineEvent> events) : ICurveRows
    {
        private SignalQuality[] _allGood = [];

        public void Begin(bool isUtc, ImmutableArray<CurveHead> heads) => _allGood = new SignalQuality[heads.Length];

        public void Row(long ticks, ReadOnlySpan<double> values)
        {
            var time = new Timestamp(zero + ticks);

            // A second in which nothing came is an input too, as it is when the cell is live.
            for (last = last.AddSeconds(1); last < time; last = last.AddSeconds(1))
            {
                engine.Advance(new TickInput(last), events);
            }

            last = time;
            engine.Advance(new ScanInput(new RawScan(0, time, values.ToArray(), QualitiesOf(values))), events);
        }

        private SignalQuality[] QualitiesOf(ReadOnlySpan<double> values)
        {
            SignalQuality[] qualities = _allGood;
            for (int i = 0; i < values.Length; i++)
            {
                if (double.IsNaN(values[i]))
                {
                    qualities = qualities == _allGood ? new SignalQuality[values.Length] : qualities;
                    qualities[i] = SignalQuality.Bad(QualityReason.NoReading);
                }
            }

            return qualities;
        }
    }
}
