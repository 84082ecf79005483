using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <summary>What a signal, position or motion channel did with its newest reading.</summary>
/// <param name="Before">Number before; NaN if it is not known.</param>
/// <param name="After">Number now.</param>
/// <param name="Ticks">When, UTC ticks.</param>
/// <param name="Unsure">Whether it may have changed earlier: nobody saw the channel in between.</param>
internal readonly record struct SignalStep(double Before, double After, long Ticks, bool Unsure)
{
    /// <summary>From off, or from nobody knows, to on.</summary>
    public bool TurnsOn => After != 0 && (double.IsNaN(Before) || Before == 0);

    /// <summary>From on to off.</summary>
    public bool TurnsOff => After == 0 && Before != 0 && !double.IsNaN(Before);

    /// <summary>Whether it was seen to turn on: what is on at first sight may be long over.</summary>
    public bool SeenToTurnOn => TurnsOn && !double.IsNaN(Before);
}

/// <summary>A channel that says something outright: its newest number counts at once, and is joined by no line.</summary>
internal sealed class SignalWatch(ChannelTrack track)
{
    private long _ticks = long.MinValue;
    private bool _isGood;

    public ChannelTrack Track => track;

    /// <summary>Newest number that was good; NaN before the first.</summary>
    public double Value { get; private set; } = double.NaN;

    /// <summary>What the newest reading changed; null if nothing.</summary>
    public SignalStep? Step { get; private set; }

    /// <summary>Place in the order in which the signals of one scan are heard: what names a run comes before what begins it.</summary>
    public int Order => (track.Definition.Role, track.Definition.Signal) switch
    {
        (ChannelRole.Signal, SignalMeaning.Recipe or SignalMeaning.Load) => 0,
        (ChannelRole.Signal, SignalMeaning.Unload) => 1,
        (ChannelRole.Position, _) => 2,
        (ChannelRole.Signal, SignalMeaning.Start or SignalMeaning.Running) => 3,
        _ => 4,
    };

    /// <summary>As a whole number; null if it is none, or not known.</summary>
    public int? Number => Math.Abs(Value) <= int.MaxValue ? (int)Math.Round(Value) : null;

    /// <summary>Whether the newest reading is good and not older than the gap limit.</summary>
    public bool IsFresh(Timestamp now) => _isGood && now.UtcTicks - _ticks <= track.GapTicks;

    /// <summary>Takes a new reading.</summary>
    /// <param name="reading">The reading; turned bad if it is out of order.</param>
    /// <returns>What changed; null if nothing did, or the reading cannot be judged.</returns>
    public SignalStep? Hear(ref Reading reading)
    {
        Step = Offer(ref reading);
        return Step;
    }

    public void Save(BinaryWriter writer)
    {
        writer.Write(_ticks);
        writer.Write(_isGood);
        writer.Write(Value);
    }

    public void Load(BinaryReader reader)
    {
        _ticks = reader.ReadInt64();
        _isGood = reader.ReadBoolean();
        Value = reader.ReadDouble();
    }

    private SignalStep? Offer(ref Reading reading)
    {
        if (reading.Time.UtcTicks < _ticks && reading.Quality.HasValue)
        {
            reading = Reading.Bad(reading.Time, QualityReason.OutOfOrder);
            return null;
        }

        _isGood = reading.Quality.Level == Quality.Good;
        if (!_isGood)
        {
            return null;
        }

        long before = _ticks;
        (double was, Value, _ticks) = (Value, reading.Value, reading.Time.UtcTicks);
        bool unsure = double.IsNaN(was) || _ticks - before > track.GapTicks;
        return was == Value ? null : new SignalStep(was, Value, _ticks, unsure);
    }
}
