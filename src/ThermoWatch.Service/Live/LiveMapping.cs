using ThermoWatch.Domain.Alarms.Words;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Configuration;

namespace ThermoWatch.Service.Live;

/// <summary>Turns what the engine knows into the shapes of the live contract.</summary>
internal static class LiveMapping
{
    public static CellState ToLive(
        this CellPicture picture, CellDefinition definition, long sequence, FilteredLive[] filtered, Func<string?, UsualRun> usual, IReadOnlyDictionary<string, AlarmSource> sources) =>
        new()
        {
            Cell = definition.Number,
            Seq = sequence,
            T = picture.Time.ToUnixMilliseconds(),
            Runs = [.. picture.Runs.Select(run => ToLive(run, usual(run.SpecName)))],
            Filtered = filtered,
            Alarms = [.. picture.Alarms.Select(a => ToLive(a, picture, definition, sources.GetValueOrDefault(a.Condition)))],
            HiddenAlarms = [.. picture.Hidden.Select(a => ToLive(a, picture, definition, sources.GetValueOrDefault(a.Condition)))],
            Devices = [.. picture.Devices.Select(d => new DeviceLive
            {
                Id = d.Id,
                State = Words.Of(d.State),
                Since = d.Since.ToUnixMilliseconds(),
                Reason = d.Reason,
            })],
        };

    private static AlarmLive ToLive(AlarmPicture alarm, CellPicture picture, CellDefinition definition, AlarmSource? source)
    {
        RunPicture? run = picture.Runs.FirstOrDefault(r => r.Number == alarm.Run);
        string[] phases = [.. run?.Phases.Where(p => p.End is null).Select(p => p.Name) ?? []];
        AlarmTelling telling = AlarmTelling.Of(alarm, definition, picture.Time, phases, AlarmLanguage.English, source, run?.SpecName);
        AlarmTelling german = AlarmTelling.Of(alarm, definition, picture.Time, phases, AlarmLanguage.German, source, run?.SpecName);
        return new AlarmLive
        {
            Id = alarm.Id,
            Condition = alarm.Condition,
            Channel = alarm.ChannelId,
            State = Words.Of(alarm.State),
            Since = alarm.Since == default ? null : alarm.Since.ToUnixMilliseconds(),
            Value = alarm.Value,
            Limit = alarm.Limit,
            Priority = Words.Of(alarm.Priority),
            Holds = alarm.Holds,
            Run = alarm.Run,
            Figure = alarm.Figure,
            Unit = telling.Unit.Length > 0 ? telling.Unit : null,
            Source = source?.Name is { Length: > 0 } name ? name : null,
            Words = source?.Words is { Length: > 0 } words ? words : null,
            Text = telling.Key,
            Where = telling.Where,
            What = telling.What,
            Consequence = telling.Consequence,
            Action = telling.Action,
            HowLong = telling.HowLong,
            SecondsToAct = telling.SecondsToAct,
            German = new AlarmWords { Where = german.Where, What = german.What, Consequence = german.Consequence, Action = german.Action, HowLong = german.HowLong },
            By = alarm.By,
            Comment = alarm.Comment,
            Until = alarm.Until?.ToUnixMilliseconds(),
        };
    }

    public static ReadingMark ToLive(int cell, string channelId, Reading marked) => new()
    {
        Cell = cell,
        Channel = channelId,
        T = marked.Time.ToUnixMilliseconds(),
        Quality = marked.Quality.ToString(),
    };

    /// <summary>Only figures that a limit asks for travel live; the others are a request away.</summary>
    /// <param name="run">The run.</param>
    /// <param name="usual">What is usual of runs by its spec.</param>
    public static RunLive ToLive(RunPicture run, UsualRun usual) => new()
    {
        Number = run.Number,
        Carrier = run.Carrier,
        Kind = Words.Of(run.Kind),
        Recipe = run.Recipe,
        Load = run.Load,
        StartReason = run.StartReason,
        Start = run.Start.ToUnixMilliseconds(),
        End = run.End?.ToUnixMilliseconds(),
        EndReason = run.EndReason,
        Notes = [.. run.Notes],
        SpecName = run.SpecName,
        SpecVersion = run.SpecVersion,
        Phases = [.. run.Phases.Select(p => new PhaseLive
        {
            Phase = p.Name,
            Track = Words.Of(p.Track),
            Start = p.Start.ToUnixMilliseconds(),
            End = p.End?.ToUnixMilliseconds(),
        })],
        Figures = [.. run.Figures.Where(f => f.Lower is not null || f.Upper is not null).Select(f => ToLive(f, usual.Of(f)))],
        Gaps = [.. run.Gaps.Select(g => new GapLive
        {
            Channel = g.ChannelId,
            Start = g.Start.ToUnixMilliseconds(),
            End = g.End?.ToUnixMilliseconds(),
            Reason = g.Reason == QualityReason.Detached ? "detached" : null,
        })],
        Verdict = run.Verdict is { } verdict ? Words.Of(verdict) : null,
        Reasons = [.. run.Reasons],
    };

    public static FigureLive ToLive(FigureResult figure, double? usual) => new()
    {
        Figure = figure.Figure,
        Channel = figure.ChannelId,
        Value = figure.Value,
        Low = figure.Low,
        High = figure.High,
        Unit = figure.Unit,
        U = figure.U,
        Lower = figure.Lower,
        Upper = figure.Upper,
        Verdict = figure.Verdict is { } verdict ? Words.Of(verdict) : null,
        Reason = figure.Reason,
        DecidedBy = figure.DecidedBy,
        Severity = figure.Severity is { } severity ? Words.Of(severity) : null,
        Notes = [.. figure.Notes],
        Margin = figure.Margin,
        Usual = usual,
        Final = figure.Final,
    };

    public static ChannelLayout ToLayout(ChannelDefinition channel, Spec? spec) => new()
    {
        Id = channel.Id,
        Name = channel.Name,
        Role = Words.Of(channel.Role),
        Place = channel.Role == ChannelRole.Product ? Words.Of(channel.Place) : null,
        Carrier = channel.Carrier,
        Device = channel.Device,
        Unit = channel.Unit switch
        {
            MeasuredUnit.DegreeCelsius => "degC",
            MeasuredUnit.Millibar => "mbar",
            MeasuredUnit.Millivolt => "mV",
            _ => "1",
        },
        Liquidus = channel.Role == ChannelRole.Product ? spec?.AlloyOf(channel.Id).Liquidus : null,
    };

    public static DeviceLayout ToLayout(DeviceDefinition device) => new()
    {
        Id = device.Id,
        Name = device.Name,
        PeriodSeconds = device.Period.TotalSeconds,
    };

    public static SpecLayout ToLayout(Spec spec, UsualRun usual) => new()
    {
        Name = spec.Name,
        Version = spec.Version,
        Alloy = spec.Alloy.Name,
        Solidus = spec.Alloy.Solidus,
        Liquidus = spec.Alloy.Liquidus,
        SoakFrom = spec.Soak?.From,
        SoakTo = spec.Soak?.To,
        VacuumTarget = spec.Vacuum?.VoidTargetMillibar,
        Limits = [.. spec.Limits.Select(l => new LimitLayout
        {
            Figure = l.Figure,
            Lower = l.Lower,
            Upper = l.Upper,
            Level = l.Level,
            Severity = Words.Of(l.Severity),
            Document = l.Document,
        })],
        UsualCycleSeconds = usual.CycleSeconds,
        UsualPhases = usual.Phases,
    };
}
