using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Service.Commands.Recalibrate;

/// <summary>A run of the past that can be lived through once more, with other calibrations.</summary>
internal interface IHistory
{
    /// <summary>What it is, for people.</summary>
    string Name { get; }

    /// <summary>The channels that it has.</summary>
    IReadOnlyList<ChannelDefinition> Channels { get; }

    /// <summary>What must be said of the comparison.</summary>
    IReadOnlyList<string> Notes { get; }

    /// <summary>The run as the engine judges it; null when with these calibrations there is no such run.</summary>
    /// <param name="calibrations">New ones by channel; null: as it was recorded.</param>
    JudgedRun? Judge(IReadOnlyDictionary<string, Calibration>? calibrations);
}

/// <summary>A run, and the values of its channels at each of its readings.</summary>
/// <param name="Picture">What was judged.</param>
/// <param name="Origin">Second zero.</param>
/// <param name="Readings">Good and uncertain readings by channel id.</param>
internal sealed record JudgedRun(RunPicture Picture, Timestamp Origin, IReadOnlyDictionary<string, IReadOnlyList<Reading>> Readings)
{
    /// <summary>A figure by its name, channel and limits, as both sides of a comparison have it.</summary>
    public FigureResult? Find(FigureResult like) => Picture.Figures.FirstOrDefault(
        figure => (figure.Figure, figure.ChannelId, figure.Lower, figure.Upper) == (like.Figure, like.ChannelId, like.Lower, like.Upper));
}
