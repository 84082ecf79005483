using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace ThermoWatch.Recording.Codecs;

/// <summary>How a raw number is held as an integer, so that neighbours differ by little. The codes stand in files: never renumber.</summary>
/// <remarks>
/// An instrument steps in its own smallest digit, whatever type its register has; held in that digit a curve costs
/// bits by the noise, not by the mantissa. A form is only ever used for a number that it gives back bit for bit.
/// </remarks>
internal enum NumberForm : byte
{
    /// <summary>The 64 bits of the IEEE double.</summary>
    Double = 0,

    /// <summary>The 32 bits of an IEEE single; the value is that single.</summary>
    Single = 1,

    /// <summary>n; at most 2^53.</summary>
    Integer = 2,

    /// <summary>n / 10 as a double. The five codes after it are n / 10^2 to n / 10^6.</summary>
    Decimal1 = 3,

    /// <summary>The last of the decimals: n / 10^6.</summary>
    Decimal6 = 8,

    /// <summary>n / 10 rounded to a single. The three codes after it are n / 10^2 to n / 10^4.</summary>
    SingleDecimal1 = 9,

    /// <summary>The last of the single decimals: n / 10^4.</summary>
    SingleDecimal4 = 12,
}

/// <summary>Numbers to integers and back.</summary>
internal static class NumberForms
{
    private const double MostInteger = 9007199254740992; // 2^53: up to here a double holds every integer

    private static readonly double[] PowersOfTen = [1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6];

    /// <summary>Order of trying: cheapest for an instrument's steps first.</summary>
    private static readonly NumberForm[] Trials =
        [.. Enumerable.Range((int)NumberForm.Integer, 11).Select(code => (NumberForm)code), NumberForm.Single];

    public static bool IsKnown(NumberForm form) => form <= NumberForm.SingleDecimal4;

    /// <summary>The integer for a number: in the form that served the number before it, if that fits.</summary>
    public static long ToInteger(double value, ref NumberForm form)
    {
        if (TryAs(value, form, out long integer))
        {
            return integer;
        }

        foreach (NumberForm trial in Trials)
        {
            if (TryAs(value, trial, out integer))
            {
                form = trial;
                return integer;
            }
        }

        form = NumberForm.Double;
        return BitConverter.DoubleToInt64Bits(value);
    }

    /// <summary>The integer for a number in this form; false if the number would not come back bit for bit.</summary>
    public static bool TryAs(double value, NumberForm form, out long integer)
    {
        if (form == NumberForm.Double)
        {
            integer = BitConverter.DoubleToInt64Bits(value);
            return true;
        }

        if (form == NumberForm.Integer) // most instruments count, and a division would cost more than all the rest
        {
            integer = Math.Abs(value) <= MostInteger ? unchecked((long)value) : 0;
            return BitConverter.DoubleToInt64Bits(integer) == BitConverter.DoubleToInt64Bits(value);
        }

        if (form == NumberForm.Single)
        {
            integer = BitConverter.SingleToInt32Bits((float)value);
        }
        else
        {
            double rounded = Math.Round(value * PowersOfTen[Digits(form)]);
            if (!(Math.Abs(rounded) <= MostInteger)) // also false for NaN
            {
                integer = 0;
                return false;
            }

            integer = unchecked((long)rounded);
        }

        return BitConverter.DoubleToInt64Bits(ToNumber(integer, form)) == BitConverter.DoubleToInt64Bits(value);
    }

    /// <summary>The number that an integer stands for. Any integer gives some number, so damaged input cannot throw.</summary>
    public static double ToNumber(long integer, NumberForm form) => form switch
    {
        NumberForm.Double => BitConverter.Int64BitsToDouble(integer),
        NumberForm.Single => BitConverter.Int32BitsToSingle(unchecked((int)integer)),
        < NumberForm.SingleDecimal1 => integer / PowersOfTen[Digits(form)],
        _ => (float)(integer / PowersOfTen[Digits(form)]),
    };

    /// <summary>The nearest number that the form holds, for what need not be exact.</summary>
    public static double Near(double value, NumberForm form)
    {
        if (form is NumberForm.Double or NumberForm.Single || !double.IsFinite(value))
        {
            return (float)value;
        }

        double rounded = Math.Round(value * PowersOfTen[Digits(form)]);
        return Math.Abs(rounded) <= MostInteger ? ToNumber((long)rounded, form) : (float)value;
    }

    /// <summary>Converts as long as all are integers; false when one is not. Most instruments count, so this is worth a way of its own.</summary>
    public static bool AreIntegers(ReadOnlySpan<double> values, Span<long> integers)
    {
        int at = 0;
        if (Vector512.IsHardwareAccelerated || Vector256.IsHardwareAccelerated)
        {
            for (; at + Vector<double>.Count <= values.Length; at += Vector<double>.Count)
            {
                if (!TryAsIntegers(new Vector<double>(values[at..]), out Vector<long> converted))
                {
                    return false;
                }

                converted.CopyTo(integers[at..]);
            }
        }

        for (; at < values.Length; at++)
        {
            if (!TryAs(values[at], NumberForm.Integer, out integers[at]))
            {
                return false;
            }
        }

        return true;
    }

    /// <summary>A few numbers as integers; false if one of them is none that comes back bit for bit.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static bool TryAsIntegers(Vector<double> values, out Vector<long> integers)
    {
        integers = Vector.ConvertToInt64(values);
        return Vector.LessThanOrEqualAll(Vector.Abs(values), new Vector<double>(MostInteger))
            && Vector.EqualsAll(Vector.AsVectorInt64(Vector.ConvertToDouble(integers)), Vector.AsVectorInt64(values));
    }

    /// <summary>The numbers that a whole column of integers stands for.</summary>
    public static void ToNumbers(ReadOnlySpan<long> integers, NumberForm form, Span<double> values)
    {
        switch (form)
        {
            case NumberForm.Integer:
                for (int i = 0; i < values.Length; i++)
                {
                    values[i] = integers[i];
                }

                break;
            case >= NumberForm.Decimal1 and <= NumberForm.Decimal6:
                double divisor = PowersOfTen[Digits(form)];
                for (int i = 0; i < values.Length; i++)
                {
                    values[i] = integers[i] / divisor;
                }

                break;
            default:
                for (int i = 0; i < values.Length; i++)
                {
                    values[i] = ToNumber(integers[i], form);
                }

                break;
        }
    }

    private static int Digits(NumberForm form) =>
        form >= NumberForm.SingleDecimal1 ? form - NumberForm.SingleDecimal1 + 1 : form - NumberForm.Integer;
}
