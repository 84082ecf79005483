using System.Numerics;
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

    /// <summary>Whether every number is held as the integer that it is, as nearly always.</summary>
    public bool AreIntegers { get; private set; }

    /// <summary>To be called when the forms are known.</summary>
    public void FormsAreSet() => AreIntegers = Forms.AsSpan().IndexOfAnyExcept(NumberForm.Integer) < 0;

    /// <summary>How far each number lies from where it is expected, zigzagged.</summary>
    /// <param name="values">The new numbers.</param>
    /// <param name="steps">Takes the differences.</param>
    /// <param name="widest">All their bits together.</param>
    /// <returns>False if one of them does not fit its form.</returns>
    public bool TryStepTo(ReadOnlySpan<double> values, Span<ulong> steps, out ulong widest)
    {
        widest = 0;
        int i = 0;
        if (AreIntegers)
        {
            var all = Vector<long>.Zero;
            for (; i + Vector<long>.Count <= values.Length; i += Vector<long>.Count)
            {
                if (!NumberForms.TryAsIntegers(new Vector<double>(values[i..]), out Vector<long> integers))
                {
                    return false;
                }

                Vector<long> left = integers - new Vector<long>(Numbers, i) - (new Vector<long>(_slopes, i) >> 4);
                left = (left << 1) ^ (left >> 63);
                all |= left;
                Vector.AsVectorUInt64(left).CopyTo(steps[i..]);
            }

            for (int lane = 0; lane < Vector<long>.Count; lane++)
            {
                widest |= unchecked((ulong)all[lane]);
            }
        }

        for (; i < values.Length; i++)
        {
            if (!NumberForms.TryAs(values[i], Forms[i], out long integer))
            {
                return false;
            }

            steps[i] = ZigZag.Encode(unchecked(integer - Expected(i)));
            widest |= steps[i];
        }

        return true;
    }

    public void Move(ReadOnlySpan<ulong> steps)
    {
        int i = 0;
        for (; i + Vector<long>.Count <= steps.Length; i += Vector<long>.Count)
        {
            var step = new Vector<ulong>(steps[i..]);
            Vector<long> slopes = new(_slopes, i), before = new(Numbers, i);
            Vector<long> number = before + (slopes >> 4) + (Vector.AsVectorInt64(step >> 1) ^ -Vector.AsVectorInt64(step & Vector<ulong>.One));
            (slopes + ((((number - before) << 4) - slopes) >> 3)).CopyTo(_slopes, i);
            number.CopyTo(Numbers, i);
        }

        for (; i < steps.Length; i++)
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
