using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Alarms;

/// <summary>How long the steps with molten joints usually take, by the carrier's last runs under the same spec that have not failed.</summary>
internal sealed class UsualTimes
{
    private const int Least = 8;
    private const int Most = 30;
    private const double RobustSpreads = 3 * 1.4826;

    private readonly List<double> _toEvacuation = [];
    private readonly List<double> _evacuated = [];
    private readonly List<double> _toCool = [];
    private readonly List<double> _held = [];
    private string _spec = "";
    private long _lastRun;

    /// <summary>Usual time at or below the target, s; null while too few runs have shown it.</summary>
    /// <param name="spec">The spec in force: of another product's runs it says nothing.</param>
    public double? HoldSeconds(Spec? spec) => _held.Count < Least || NameOf(spec?.Name, spec?.Version) != _spec ? null : Median(_held);

    /// <summary>Takes in a run that has ended.</summary>
    public void Learn(RunPicture run)
    {
        if (run.Number == _lastRun)
        {
            return;
        }

        _lastRun = run.Number;
        string spec = NameOf(run.SpecName, run.SpecVersion);
        if (spec != _spec)
        {
            _spec = spec;
            Array.ForEach([_toEvacuation, _evacuated, _toCool, _held], list => list.Clear());
        }

        if (run.Verdict == Verdict.Fail || run.EndReason == "abandoned" || run.Phases.FirstOrDefault(p => p.Name == "reflow") is not { } reflow)
        {
            return;
        }

        PhaseSpan[] vacuum = [.. run.Phases.Where(p => p.Track == PhaseTrack.Vacuum && p.Start >= reflow.Start && p.End is not null)];
        Timestamp last = reflow.Start;
        if (vacuum.Length > 0)
        {
            last = vacuum[^1].End!.Value;
            Add(_toEvacuation, vacuum[0].Start.SecondsSince(reflow.Start));
            Add(_evacuated, last.SecondsSince(vacuum[0].Start));
            Add(_held, vacuum.Where(p => p.Name == "hold").Sum(p => p.End!.Value.SecondsSince(p.Start)));
        }

        if (run.Phases.FirstOrDefault(p => p.Name == "cool") is { } cool)
        {
            Add(_toCool, cool.Start.SecondsSince(last));
        }
    }

    /// <summary>How long the step that an open run is in has lasted, and how long it usually lasts at most, s; null if that is not known.</summary>
    public (double Elapsed, double Longest)? Expected(RunInProgress run, Spec? spec, Timestamp now)
    {
        if (NameOf(spec?.Name, spec?.Version) != _spec)
        {
            return null;
        }

        Timestamp? molten = null;
        foreach (PhaseSpan phase in run.Phases)
        {
            molten = phase.Name == "reflow" ? phase.Start : molten;
        }

        if (molten is not { } since)
        {
            return null;
        }

        VacuumStep? first = null;
        foreach (VacuumStep step in run.Steps)
        {
            first ??= step.StartTicks >= since.UtcTicks ? step : null;
        }

        (Timestamp from, List<double> usual) = first is null
            ? (since, _toEvacuation.Count > 0 ? _toEvacuation : _toCool)
            : run.Steps[^1].EndTicks is { } end ? (new Timestamp(end), _toCool) : (new Timestamp(first.StartTicks), _evacuated);
        return usual.Count < Least ? null : (now.SecondsSince(from), Longest(usual));
    }

    public void Save(BinaryWriter writer)
    {
        writer.Write(_spec);
        writer.Write(_lastRun);
        foreach (List<double> list in (List<double>[])[_toEvacuation, _evacuated, _toCool, _held])
        {
            writer.Write(list.Count);
            list.ForEach(writer.Write);
        }
    }

    public void Load(BinaryReader reader)
    {
        _spec = reader.ReadString();
        _lastRun = reader.ReadInt64();
        foreach (List<double> list in (List<double>[])[_toEvacuation, _evacuated, _toCool, _held])
        {
            for (int n = reader.ReadInt32(); n > 0; n--)
            {
                list.Add(reader.ReadDouble());
            }
        }
    }

    private static string NameOf(string? spec, int? version) => $"{spec}/{version}";

    private static void Add(List<double> list, double seconds)
    {
        list.Add(seconds);
        list.RemoveRange(0, Math.Max(0, list.Count - Most));
    }

    private static double Longest(List<double> seconds)
    {
        double median = Median(seconds);
        double spread = Median([.. seconds.Select(s => Math.Abs(s - median))]);
        return Math.Max(seconds.Max(), median + (RobustSpreads * spread));
    }

    private static double Median(List<double> values)
    {
        double[] sorted = [.. values.Order()];
        int middle = sorted.Length / 2;
        return sorted.Length % 2 == 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
    }
}
