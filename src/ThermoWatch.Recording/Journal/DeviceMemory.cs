using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Journal;

/// <summary>The last scan of a device, as integers.</summary>
internal sealed class DeviceMemory(int device, int count, long time)
{
    private readonly long[] _slopes = new long[count]; // in sixteenths
    private long _period;

    public int Device { get; } = device;

    /// <summary>UTC ticks.</summary>
    public long Time { get; private set; } = time;

    public long[] Numbers { get; } = new long[count];

    public NumberForm[] Forms { get; } = new NumberForm[count];

    public SignalQuality[] Qualities { get; } = new SignalQuality[count];

    /// <summary>How far a time lies from where the last two put it. Remembers it.</summary>
    public long TimeStep(long time)
    {
        unchecked
        {
            long period = time - Time, step = period - _period;
            (Time, _period) = (time, period);
            return step;
        }
    }

    public void MoveTime(long step)
    {
        unchecked
        {
            _period += step;
            Time += _period;
        }
    }

    /// <summary>Where the next number is expected: a slope further on, which follows the last eight or so (a ramp costs no more than a soak).</summary>
    public long Expected(int point) => unchecked(Numbers[point] + (_slopes[point] >> 4));

    public void Move(ReadOnlySpan<ulong> steps)
    {
        for (int i = 0; i < steps.Length; i++)
        {
            unchecked
            {
                long number = Expected(i) + ZigZag.Decode(steps[i]);
                _slopes[i] += ((number - Numbers[i] << 4) - _slopes[i]) >> 3;
                Numbers[i] = number;
            }
        }
    }

    public ScanInput ToScan()
    {
        var values = new double[Numbers.Length];
        for (int i = 0; i < values.Length; i++)
        {
            values[i] = NumberForms.ToNumber(Numbers[i], Forms[i]);
        }

        return new ScanInput(new RawScan(Device, new Timestamp(Time), values, [.. Qualities]));
    }
}
