using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <summary>Finds a thermocouple that has come off its joint: it alone falls by a step, and from there on reads low but smooth.</summary>
/// <remarks>
/// Boards of one carrier share their surroundings, so what cools one joint cools others: a joint does not fall alone. The channel has
/// fallen by 3 K within 3 s. Three and five seconds later it is still that low, reads a kelvin below most others, and none of at
/// least three others has fallen since by more than 1 K, or a quarter as much. Between the two it has kept half of its fall, and not
/// gone on by more than 15 %: a bead in the air beside its joint settles within seconds, a light joint that cools before the heavy
/// ones goes on. The judgement is given a second later still, so that it does not depend on which device answers first. Common
/// practice and our own choice; a bead that lifts where its surroundings are as hot as the joint, or hotter, is not found by this.
/// </remarks>
internal sealed class LiftWatch(ChannelTrack track)
{
    /// <summary>A fall less deep is no reason to look, K.</summary>
    public const double LeastFall = 3;

    private const double Foot = 1;
    private const double Lower = 1;
    private const double OthersFall = 1;
    private const double OthersShare = 0.25;
    private const double GoesOn = 0.15;
    private const double Keeps = 0.5;
    private const int LeastOthers = 3;
    private const long WindowTicks = 3 * Timestamp.TicksPerSecond;
    private const long SettledTicks = 3 * Timestamp.TicksPerSecond;
    private const long StaysTicks = 5 * Timestamp.TicksPerSecond;
    private const long JudgedTicks = 6 * Timestamp.TicksPerSecond;

    private long _suspectTicks = long.MaxValue;
    private long _sureTicks;
    private double _from;

    /// <summary>Whether a fall is being looked into.</summary>
    public bool IsSuspicious => _suspectTicks != long.MaxValue;

    /// <summary>Takes in the curve's newest reading of an open run; true if it settles that the channel no longer shows its joint.</summary>
    public bool Push(IReadOnlyList<ProductWatch> boards, long startTicks)
    {
        if (!IsSuspicious)
        {
            Look(startTicks);
            return false;
        }

        if (track.Curve.LastTicks - _suspectTicks < JudgedTicks)
        {
            return false;
        }

        bool lifted = IsStep() && IsAlone(boards, _suspectTicks + SettledTicks) && IsAlone(boards, _suspectTicks + StaysTicks);
        if (lifted)
        {
            track.SureUntil = _sureTicks;
        }

        _suspectTicks = long.MaxValue;
        return lifted;
    }

    /// <summary>Another run begins, or none is open.</summary>
    public void Reset() => (_suspectTicks, track.SureUntil) = (long.MaxValue, long.MaxValue);

    public void Save(BinaryWriter writer)
    {
        writer.Write(_suspectTicks);
        writer.Write(_sureTicks);
        writer.Write(_from);
    }

    public void Load(BinaryReader reader)
    {
        _suspectTicks = reader.ReadInt64();
        _sureTicks = reader.ReadInt64();
        _from = reader.ReadDouble();
    }

    private void Look(long startTicks)
    {
        Curve curve = track.Curve;
        long newest = curve.Next - 1;
        double from = curve.LastValue;
        long first = Math.Max(curve.FirstAtOrAfter(Math.Max(startTicks, curve.LastTicks - WindowTicks)), curve.First);
        for (long i = newest - 1; i >= first && curve.TicksAt(i + 1) - curve.TicksAt(i) <= track.GapTicks; i--)
        {
            from = Math.Max(from, curve.ValueAt(i));
        }

        if (from - curve.LastValue < LeastFall)
        {
            return;
        }

        long sure = newest;
        while (curve.ValueAt(sure) < from - Foot)
        {
            sure--;
        }

        (_suspectTicks, _sureTicks, _from) = (curve.LastTicks, curve.TicksAt(sure), from);
    }

    private bool IsStep()
    {
        long settled = At(track, _suspectTicks + SettledTicks), stays = At(track, _suspectTicks + StaysTicks);
        if (settled < 0 || stays < 0)
        {
            return false;
        }

        double fall = _from - track.Curve.ValueAt(settled), later = _from - track.Curve.ValueAt(stays);
        return fall >= LeastFall && later >= Math.Max(LeastFall, Keeps * fall) && later - fall <= GoesOn * fall;
    }

    private bool IsAlone(IReadOnlyList<ProductWatch> boards, long ticks)
    {
        double value = track.Curve.ValueAt(At(track, ticks));
        double allowed = Math.Max(OthersFall, OthersShare * (_from - value));
        (int known, int hotter) = (0, 0);
        foreach (ProductWatch board in boards)
        {
            Curve other = board.Track.Curve;
            long from = At(board.Track, _sureTicks), to = At(board.Track, ticks);
            if (board.Track == track || !board.IsProduct || from < 0 || to < 0)
            {
                continue;
            }

            double highest = double.NegativeInfinity;
            for (long i = from; i <= to; i++)
            {
                highest = Math.Max(highest, other.ValueAt(i));
            }

            if (highest - other.ValueAt(to) > allowed)
            {
                return false;
            }

            known++;
            hotter += other.ValueAt(to) > value + Lower ? 1 : 0;
        }

        return known >= LeastOthers && 2 * hotter > known;
    }

    /// <summary>Sequence number of the reading that stands for a channel at a time; -1 where none does.</summary>
    private static long At(ChannelTrack channel, long ticks)
    {
        long at = channel.Curve.FirstAtOrAfter(ticks + 1) - 1;
        return at >= channel.Curve.First && ticks - channel.Curve.TicksAt(at) <= channel.GapTicks ? at : -1;
    }
}
