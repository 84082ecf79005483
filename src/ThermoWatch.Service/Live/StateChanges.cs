using System.Buffers.Binary;
using System.Runtime.CompilerServices;

namespace ThermoWatch.Service.Live;

/// <summary>What is another from one state of a cell to the next.</summary>
internal static class StateChanges
{
    // Viewers that keep up have one and the same state before them: what follows is found out once, not once a viewer.
    // Nothing is held for longer than its states.
    private static readonly ConditionalWeakTable<CellState, ConditionalWeakTable<CellState, CellChange>> s_known = [];

    /// <summary>As <see cref="Between(CellState, CellState)"/>, found out once for the same two states.</summary>
    public static CellChange Once(CellState before, CellState now) =>
        s_known.GetOrCreateValue(now).GetValue(before, known => Between(known, now));

    /// <summary>The change that makes <paramref name="before"/> into <paramref name="now"/>, to the precision of a float32 where numbers alone moved.</summary>
    public static CellChange Between(CellState before, CellState now)
    {
        RunChange[] runs = [.. now.Runs.Select(run => Between(before.Runs.FirstOrDefault(r => r.Number == run.Number), run)).OfType<RunChange>()];
        bool alarms = !Same(before.Alarms, now.Alarms);
        bool hidden = !Same(before.HiddenAlarms, now.HiddenAlarms);
        AlarmNumbers[] numbers = [.. (alarms ? [] : Moved(before.Alarms, now.Alarms)).Concat(hidden ? [] : Moved(before.HiddenAlarms, now.HiddenAlarms))];
        return new CellChange
        {
            Cell = now.Cell,
            After = before.Seq,
            Seq = now.Seq,
            T = now.T,
            Order = before.Runs.Select(r => r.Number).SequenceEqual(now.Runs.Select(r => r.Number)) ? null : [.. now.Runs.Select(r => r.Number)],
            Runs = runs.Length == 0 ? null : runs,
            Alarms = alarms ? now.Alarms : null,
            HiddenAlarms = hidden ? now.HiddenAlarms : null,
            Numbers = numbers.Length == 0 ? null : numbers,
            Devices = before.Devices.SequenceEqual(now.Devices) ? null : now.Devices,
            Filtered = before.Filtered.SequenceEqual(now.Filtered) ? null : now.Filtered,
        };
    }

    private static RunChange? Between(RunLive? before, RunLive now)
    {
        if (before is null || !before.Figures.Select(Identity).SequenceEqual(now.Figures.Select(Identity)))
        {
            return new RunChange { Number = now.Number, Head = now, At = [], Data = [] };
        }

        List<int> moved = [];
        List<FigureAnew> anew = [];
        for (int i = 0; i < now.Figures.Length; i++)
        {
            (FigureLive was, FigureLive isNow) = (before.Figures[i], now.Figures[i]);
            if (!SameButNumbers(was, isNow))
            {
                anew.Add(new FigureAnew { At = i, Figure = isNow });
            }
            else if ((was.Value, was.Low, was.High, was.Margin) != (isNow.Value, isNow.Low, isNow.High, isNow.Margin))
            {
                moved.Add(i);
            }
        }

        bool head = !SameButFigures(before, now);
        return !head && moved.Count == 0 && anew.Count == 0 ? null : new RunChange
        {
            Number = now.Number,
            Head = head ? now with { Figures = [] } : null,
            At = [.. moved],
            Data = Pack(moved.Select(i => now.Figures[i])),
            Anew = anew.Count == 0 ? null : [.. anew],
        };
    }

    private static (string Figure, string? Channel, double? Lower, double? Upper) Identity(FigureLive figure) =>
        (figure.Figure, figure.Channel, figure.Lower, figure.Upper);

    private static bool SameButNumbers(FigureLive a, FigureLive b) =>
        a.Notes.SequenceEqual(b.Notes) && a with { Notes = b.Notes, Value = b.Value, Low = b.Low, High = b.High, Margin = b.Margin } == b;

    private static bool SameButFigures(RunLive a, RunLive b) =>
        a.Notes.SequenceEqual(b.Notes) && a.Reasons.SequenceEqual(b.Reasons) && a.Phases.SequenceEqual(b.Phases) && a.Gaps.SequenceEqual(b.Gaps)
        && a with { Notes = b.Notes, Reasons = b.Reasons, Phases = b.Phases, Gaps = b.Gaps, Figures = b.Figures } == b;

    /// <summary>Texts with numbers in them move with the numbers; who follows words those anew.</summary>
    private static bool Same(AlarmLive[] a, AlarmLive[] b) => a.Length == b.Length && a.Zip(b).All(pair => SameButNumbers(pair.First, pair.Second));

    private static bool SameButNumbers(AlarmLive a, AlarmLive b) =>
        a.Value is null == b.Value is null && a.SecondsToAct is null == b.SecondsToAct is null
        && a.German with { What = b.German.What, HowLong = b.German.HowLong } == b.German
        && a with { Value = b.Value, What = b.What, HowLong = b.HowLong, SecondsToAct = b.SecondsToAct, German = b.German } == b;

    private static IEnumerable<AlarmNumbers> Moved(AlarmLive[] a, AlarmLive[] b) => a.Zip(b)
        .Where(pair => (pair.First.Value, pair.First.SecondsToAct) != (pair.Second.Value, pair.Second.SecondsToAct))
        .Select(pair => new AlarmNumbers { Id = pair.Second.Id, Value = pair.Second.Value, SecondsToAct = pair.Second.SecondsToAct });

    private static byte[] Pack(IEnumerable<FigureLive> figures)
    {
        double?[] numbers = [.. figures.SelectMany(f => new[] { f.Value, f.Low, f.High, f.Margin })];
        byte[] bytes = new byte[4 * numbers.Length];
        for (int i = 0; i < numbers.Length; i++)
        {
            BinaryPrimitives.WriteSingleLittleEndian(bytes.AsSpan(4 * i), (float)(numbers[i] ?? double.NaN));
        }

        return bytes;
    }
}
