using System.Collections.Immutable;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <summary>Finds a thermocouple that has come off its joint: it alone falls by a step, and from there on reads low but smooth.</summary>
/// <remarks>
/// Boards of one carrier share their surroundings, so what cools one joint cools others: a joint does not fall alone. The channel has
/// fallen by 1 K within 3 s. Three and five seconds later it stands 3 K short of what the others have done meanwhile (the median of at
/// least three), and a kelvin below most of them; none of them has fallen by half as much; and between the two moments it has gone
/// on falling by no more than 15 %, along a straight line within a kelvin or 5 % of the fall: a bead in the air beside its joint settles
/// within seconds, a light joint that cools before the heavy ones goes on. The judgement is given a second later still, so that it
/// does not depend on which device answers first. Common practice and our own choice. A wire that is shorted looks the same, and so
/// does hum of several kelvins that beats slowly: none of them shows its joint. A bead that lifts where its surroundings are as hot
/// as the joint, or hotter, is not found by this.
/// </remarks>
internal sealed class LiftWatch(ChannelTrack track)
{
    /// <summary>A fall less deep is no reason to look, K.</summary>
    public const double LeastFall = 1;

    private const double Foot = 0.5;
    private const double Short = 3;
    private const double Keeps = 0.5;
    private const double Lower = 1;
    private const double OthersShare = 0.5;
    private const double GoesOn = 0.15;
    private const double Straight = 1;
    private const double StraightShare = 0.05;
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
    public bool Push(ImmutableArray<ProductWatch> boards, long startTicks)
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

        bool lifted = IsLifted(boards);
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

    private bool IsLifted(ImmutableArray<ProductWatch> boards)
    {
        Curve own = track.Curve;
        long sure = At(track, _sureTicks), settled = At(track, _suspectTicks + SettledTicks), stays = At(track, _suspectTicks + StaysTicks);
        if (settled < 0 || stays < 0)
        {
            return false;
        }

        double fall = Drawdown(own, sure, stays);
        if (!IsStraight(settled, stays, Math.Max(Straight, StraightShare * fall)))
        {
            return false;
        }

        double first = ShortOf(boards, _suspectTicks + SettledTicks, own.ValueAt(settled), fall);
        double last = ShortOf(boards, _suspectTicks + StaysTicks, own.ValueAt(stays), fall);
        return first >= Short && last >= Math.Max(Short, Keeps * first) && own.ValueAt(settled) - own.ValueAt(stays) <= GoesOn * first;
    }

    /// <summary>By how much the channel has changed less than most others have, K; NaN if it has not fallen alone, or is not low.</summary>
    private double ShortOf(ImmutableArray<ProductWatch> boards, long ticks, double value, double fall)
    {
        Span<double> changes = stackalloc double[64];
        (int known, int hotter) = (0, 0);
        foreach (ProductWatch board in boards)
        {
            Curve other = board.Track.Curve;
            long from = At(board.Track, _sureTicks), to = At(board.Track, ticks);
            if (board.Track == track || !board.IsProduct || from < 0 || to < 0 || known == changes.Length)
            {
                continue;
            }

            if (Drawdown(other, from, to) > OthersShare * fall)
            {
                return double.NaN;
            }

            changes[known++] = other.ValueAt(to) - other.ValueAt(from);
            hotter += other.ValueAt(to) > value + Lower ? 1 : 0;
        }

        if (known < LeastOthers || 2 * hotter <= known)
        {
            return double.NaN;
        }

        changes = changes[..known];
        changes.Sort();
        return ((changes[(known - 1) / 2] + changes[known / 2]) / 2) - (value - _from);
    }

    private bool IsStraight(long from, long to, double within)
    {
        Curve curve = track.Curve;
        double slope = (curve.ValueAt(to) - curve.ValueAt(from)) / Math.Max(1, curve.TicksAt(to) - curve.TicksAt(from));
        for (long i = from + 1; i < to; i++)
        {
            if (Math.Abs(curve.ValueAt(i) - curve.ValueAt(from) - (slope * (curve.TicksAt(i) - curve.TicksAt(from)))) > within)
            {
                return false;
            }
        }

        return true;
    }

    /// <summary>Greatest fall below what was reached before it, K.</summary>
    private static double Drawdown(Curve curve, long from, long to)
    {
        (double highest, double fall) = (double.NegativeInfinity, 0);
        for (long i = from; i <= to; i++)
        {
            double value = curve.ValueAt(i);
            highest = Math.Max(highest, value);
            fall = Math.Max(fall, highest - value);
        }

        return fall;
    }

    /// <summary>Sequence number of the reading that stands for a channel at a time; -1 where none does.</summary>
    private static long At(ChannelTrack channel, long ticks)
    {
        long at = channel.Curve.FirstAtOrAfter(ticks + 1) - 1;
        return at >= channel.Curve.First && ticks - channel.Curve.TicksAt(at) <= channel.GapTicks ? at : -1;
    }
}
