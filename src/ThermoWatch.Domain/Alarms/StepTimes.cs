using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Alarms;

/// <summary>How long the steps with molten joints have taken in the last runs of one product.</summary>
internal sealed class StepTimes
{
    private const int Least = 8;
    private const int Most = 30;
    private const double RobustSpreads = 3 * 1.4826;

    private readonly List<double> _toEvacuation = [];
    private readonly List<double> _evacuated = [];
    private readonly List<double> _toCool = [];
    private readonly List<double> _held = [];

    /// <summary>Usual time at or below the target, s; null while too few runs have shown it.</summary>
    public double? Hold => _held.Count < Least ? null : Median(_held);

    private List<double>[] All => [_toEvacuation, _evacuated, _toCool, _held];

    /// <summary>Takes in a run in which joints were molten.</summary>
    /// <param name="run">The run.</param>
    /// <param name="reflow">Its time with molten joints.</param>
    public void Learn(RunPicture run, PhaseSpan reflow)
    {
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
    /// <param name="run">The run.</param>
    /// <param name="molten">Since when joints are molten in it.</param>
    /// <param name="now">Newest time.</param>
    public (double Elapsed, double Longest)? Expected(RunInProgress run, Timestamp molten, Timestamp now)
    {
        VacuumStep? first = null;
        foreach (VacuumStep step in run.Steps)
        {
            first ??= step.StartTicks >= molten.UtcTicks ? step : null;
        }

        (Timestamp from, List<double> usual) = first is null
            ? (molten, _toEvacuation.Count > 0 ? _toEvacuation : _toCool)
            : run.Steps[^1].EndTicks is { } end ? (new Timestamp(end), _toCool) : (new Timestamp(first.StartTicks), _evacuated);
        return usual.Count < Least ? null : (now.SecondsSince(from), Longest(usual));
    }

    public void Save(BinaryWriter writer)
    {
        foreach (List<double> list in All)
        {
            writer.Write(list.Count);
            list.ForEach(writer.Write);
        }
    }

    public static StepTimes Load(BinaryReader reader)
    {
        var times = new StepTimes();
        foreach (List<double> list in times.All)
        {
            for (int n = reader.ReadInt32(); n > 0; n--)
            {
                list.Add(reader.ReadDouble());
            }
        }

        return times;
    }

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
