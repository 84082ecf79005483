using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Engine;

/// <summary>Alarms on the temperature of one product channel.</summary>
internal sealed class ProductAlarms(ChannelTrack track)
{
    private const long OnDelayTicks = Timestamp.TicksPerSecond;
    private const double LeastDeadbandKelvin = 1;
    private const double DeadbandSigmas = 6;

    private const double AboveVapourKelvin = 3;
    private const double Coverage = 2;

    private long _lastTicks = long.MinValue;
    private double? _ceiling;
    private Spec? _spec;
    private (int Pressure, long Run) _vapourKey;
    private double _vapourLimit = double.PositiveInfinity;

    public Alarm TooHot { get; } = new("tooHot", track.Definition.Id, track.Definition.Id);

    /// <summary>Takes the lowest upper limit of the peak that holds for the channel, whatever its weight.</summary>
    public AlarmEvent? Use(Spec spec, Timestamp time)
    {
        (_ceiling, _spec, _vapourKey, _vapourLimit) = (null, spec, default, double.PositiveInfinity);
        foreach (Limit limit in spec.Limits)
        {
            if (limit.Figure is "peakTemperature" or "sustainedPeak" && limit.Upper is { } upper && RunEvaluator.HoldsFor(limit, track.Definition))
            {
                _ceiling = Math.Min(_ceiling ?? upper, upper);
            }
        }

        return _ceiling is null && spec.Fluid is null ? TooHot.Set(active: false, time) : null;
    }

    /// <summary>The channel's curve has grown.</summary>
    /// <param name="run">The open run; null if none.</param>
    /// <param name="vapourPressure">
    /// Pressure of the chamber, mbar, while it rests and the vapour is the hottest thing there; NaN when it is not, or not known.
    /// </param>
    public AlarmEvent? OnGrown(RunInProgress? run, double vapourPressure)
    {
        long now = track.Curve.LastTicks;
        bool broken = _lastTicks == long.MinValue || now - _lastTicks > track.GapTicks;
        _lastTicks = now;
        double limit = Math.Min(_ceiling ?? double.PositiveInfinity, VapourLimit(run, vapourPressure));
        return (track.Curve.LastValue > limit || !TooHot.IsQuiet)
            ? TooHot.WatchUpper(
                new Timestamp(now), track.Curve.LastValue, limit,
                Math.Max(LeastDeadbandKelvin, DeadbandSigmas * track.NoiseSigma), OnDelayTicks, broken, run?.Number)
            : null;
    }

    /// <summary>No board gets hotter than the vapour that heats it: what reads more than this is not heated by it alone, °C.</summary>
    private double VapourLimit(RunInProgress? run, double pressure)
    {
        if (_spec?.Fluid is not { } fluid || run is null || pressure is not (>= 1 and <= 1e6))
        {
            return double.PositiveInfinity;
        }

        // By the whole millibar, worth 0.05 K: a logarithm for each reading would cost more than all else here.
        (int Pressure, long Run) key = ((int)Math.Round(pressure), run.Number);
        if (key != _vapourKey)
        {
            double expected = BoilingPoint.At(fluid, key.Pressure).High;
            double u = ChannelBudget.At(track.Definition, expected, new Timestamp(run.StartTicks), _spec.Measurement)?.Combined ?? 0;
            (_vapourKey, _vapourLimit) = (key, expected + Math.Max(AboveVapourKelvin, Coverage * u));
        }

        return _vapourLimit;
    }

    public void Save(BinaryWriter writer)
    {
        TooHot.Save(writer);
        writer.Write(_lastTicks);
    }

    /// <summary>Reads what <see cref="Save"/> wrote; the spec must be in use already.</summary>
    public void Load(BinaryReader reader)
    {
        TooHot.Load(reader);
        _lastTicks = reader.ReadInt64();
    }
}
