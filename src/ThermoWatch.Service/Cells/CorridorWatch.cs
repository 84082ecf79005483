using System.Collections.Immutable;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Api;

namespace ThermoWatch.Service.Cells;

/// <summary>
/// Holds the open instrumented runs of a cell against the corridor of the released ones, channel by channel, and reports how far one
/// stands outside. It reads the record beside the cell loop; the reports are journalled, so that a replay says the same.
/// </summary>
internal sealed class CorridorWatch(CellHost host, RunCatalogue catalogue)
{
    /// <summary>Half width that no band goes under where the channels say nothing of their uncertainty, K.</summary>
    private const double LeastFloorKelvin = 3;

    /// <summary>A distance is reported again when it has grown by this, K.</summary>
    private const double NewsKelvin = 1;

    private const double TypicalCelsius = 200;
    private const int MostRuns = 50;
    private static readonly long s_keepTicks = TimeSpan.FromSeconds(0.45).Ticks;
    private readonly Dictionary<string, double> _outside = [];
    private (string Key, ReferenceCorridor? Corridor) _corridor = ("", null);

    /// <summary>What has changed since the last look.</summary>
    public IReadOnlyList<ReportInput> Look()
    {
        CellPicture picture = host.Picture;
        IReadOnlyList<Reading> readings = host.Readings;
        Dictionary<string, double> now = [];
        foreach (RunPicture run in picture.Runs.Where(r => r.End is null && r.Kind is RunKind.Profile or RunKind.Verification))
        {
            if (run.Phases.LastOrDefault(p => p.Track == PhaseTrack.Thermal && p.End is null) is { } phase && CorridorFor(run) is { } corridor)
            {
                Measure(corridor, run.Carrier, phase, readings, now);
            }
        }

        List<ReportInput> news = [];
        foreach (string channel in _outside.Keys.Union(now.Keys).ToArray())
        {
            bool was = _outside.TryGetValue(channel, out double before);
            bool holds = now.TryGetValue(channel, out double outside);
            if (holds && (!was || outside >= before + NewsKelvin))
            {
                _outside[channel] = outside;
                news.Add(new ReportInput(picture.Time, "offReference/" + channel, true, outside, 0));
            }
            else if (was && !holds)
            {
                _outside.Remove(channel);
                news.Add(new ReportInput(picture.Time, "offReference/" + channel, false, null, null));
            }
        }

        return news;
    }

    private void Measure(ReferenceCorridor corridor, string carrier, PhaseSpan phase, IReadOnlyList<Reading> readings, Dictionary<string, double> outside)
    {
        for (int i = 0; i < readings.Count && i < host.Definition.Channels.Count; i++)
        {
            ChannelDefinition channel = host.Definition.Channels[i];
            if (channel.Role == ChannelRole.Product && (channel.Carrier ?? host.Definition.Carriers[0]) == carrier && readings[i].Quality == SignalQuality.Good
                && corridor.Outside(channel.Id, phase.Name, readings[i].Time.SecondsSince(phase.Start), readings[i].Value) is { } distance and > 0)
            {
                outside[channel.Id] = distance;
            }
        }
    }

    /// <summary>The corridor for runs of the same product, spec, recipe and load; made anew when a release or the service log has changed.</summary>
    private ReferenceCorridor? CorridorFor(RunPicture run)
    {
        RunRecord record = catalogue.Book.Record(host.Definition.Number, run.Number);
        var like = new ProductionKey(record.Product, run.SpecName, run.SpecVersion, record.Recipe ?? run.Recipe, record.Load ?? run.Load);
        long[] released = [.. catalogue.Book.References(host.Definition.Number).Where(r => r.Withdrawn is null && r.Run != run.Number).Select(r => r.Run)];
        Timestamp? work = catalogue.Book.ServiceLog(host.Definition.Number)
            .Where(l => l.Entry.Kind is ServiceKind.Sensors or ServiceKind.Fluid).Select(l => (Timestamp?)l.Entry.Time).Max();
        string key = $"{like} {string.Join(' ', released)} {work}";
        if (_corridor.Key != key)
        {
            _corridor = (key, Make(like, released, work));
        }

        return _corridor.Corridor;
    }

    private ReferenceCorridor? Make(ProductionKey like, long[] released, Timestamp? work)
    {
        IReadOnlyDictionary<long, RunRecord> records = catalogue.Book.Records(host.Definition.Number, released);
        List<CorridorRun> runs = [];
        foreach (long number in released.OrderDescending())
        {
            if (runs.Count < MostRuns && catalogue.Find(host.Definition.Number, number) is { Verdict: not null, End: not null } row && !(row.Start < work)
                && KeyOf(row, records.GetValueOrDefault(number, RunRecord.Empty)) == like)
            {
                runs.Add(Read(row));
            }
        }

        return ReferenceCorridor.Of(runs, Floor());
    }

    private static ProductionKey KeyOf(RunRow row, RunRecord record) =>
        new(record.Product, row.SpecName, row.SpecVersion, record.Recipe ?? row.Recipe, record.Load ?? row.Load);

    private CorridorRun Read(RunRow row)
    {
        var reader = new RunReader(host, row, 0, 0);
        (ChannelDefinition Channel, int Index, List<double> Seconds, List<double> Values)[] curves =
        [
            .. reader.Cell.Channels.Select((c, i) => (c, i, new List<double>(), new List<double>())).Where(c => c.c.Role == ChannelRole.Product),
        ];
        long? last = null;
        reader.Read((scan, readings) =>
        {
            if (scan.Time.UtcTicks - last < s_keepTicks)
            {
                return;
            }

            last = scan.Time.UtcTicks;
            foreach ((_, int index, List<double> seconds, List<double> values) in curves)
            {
                double at = readings[index].Time.SecondsSince(row.Start);
                if (readings[index].Quality == SignalQuality.Good && (seconds.Count == 0 || at > seconds[^1]))
                {
                    seconds.Add(at);
                    values.Add(readings[index].Value);
                }
            }
        }, CancellationToken.None);
        return new CorridorRun(
            [.. row.Phases.Where(p => p.Track == PhaseTrack.Thermal && p.End is not null).Select(p => new CorridorPhase(p.Name, p.Start.SecondsSince(row.Start), p.End!.Value.SecondsSince(row.Start)))],
            [.. curves.Select(c => new CorridorCurve(c.Channel.Id, [.. c.Seconds], [.. c.Values]))]);
    }

    private double Floor() => Math.Max(LeastFloorKelvin, host.Definition.Channels.Where(c => c.Role == ChannelRole.Product)
        .Max(c => 2 * (ChannelBudget.At(c, TypicalCelsius, host.Now, host.Spec?.Measurement)?.Combined ?? 0)));
}
