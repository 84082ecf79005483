using System.Globalization;
using System.Text;

namespace ThermoWatch.Simulator.Wire;

/// <summary>How an instrument talks lines.</summary>
public enum TextDialect
{
    /// <summary>Talks by itself: the instrument's own time in s, then the twelve numbers, separated by commas.</summary>
    Csv,

    /// <summary>Talks by itself: <c>t=</c>, <c>tc1=</c> to <c>tc8=</c>, <c>vap=</c>, <c>tra=</c>, <c>cj=</c>, <c>p=</c>, separated by blanks.</summary>
    KeyValue,

    /// <summary>Speaks when asked: <c>*IDN?</c>, <c>READ?</c>, <c>SYST:ERR?</c>.</summary>
    Query,
}

/// <summary>Lines of text instruments. Pure.</summary>
/// <remarks>
/// Numbers in the units of the input registers, with a dot; an open input is the word <c>open</c>. A talker's line ends in
/// <c>*hh</c>, the XOR of all characters before the asterisk in hexadecimal, then CR LF. Queries follow IEEE 488.2 (common command
/// <c>*IDN?</c>) and the error numbers of SCPI-1999 (-113, undefined header).
/// </remarks>
internal static class TextLines
{
    private static readonly string[] Keys = ["tc1", "tc2", "tc3", "tc4", "tc5", "tc6", "tc7", "tc8", "vap", "tra", "cj", "p"];

    /// <summary>One line of a talker, with its check sum and end.</summary>
    public static byte[] Talk(InstrumentFrame frame, TimeSpan instrumentClock, TextDialect dialect)
    {
        IEnumerable<string> values = Values(frame);
        string time = instrumentClock.TotalSeconds.ToString("0.0", CultureInfo.InvariantCulture);
        string line = dialect == TextDialect.KeyValue
            ? $"t={time} " + string.Join(' ', Keys.Zip(values, (k, v) => $"{k}={v}"))
            : $"{time},{string.Join(',', values)}";
        int sum = 0;
        foreach (char c in line)
        {
            sum ^= c;
        }

        return Encoding.ASCII.GetBytes(string.Create(CultureInfo.InvariantCulture, $"{line}*{sum:X2}\r\n"));
    }

    /// <summary>The reply to one query, or null where there is none; <paramref name="undefined"/> remembers the last error until it is asked for.</summary>
    public static string? Reply(string query, InstrumentFrame frame, ref bool undefined)
    {
        switch (query.Trim().ToUpperInvariant())
        {
            case "*IDN?":
                return "ThermoWatch,Simulator,0,1";
            case "READ?":
                return string.Join(',', Values(frame));
            case "SYST:ERR?" or "SYSTEM:ERROR?":
                string error = undefined ? "-113,\"Undefined header\"" : "0,\"No error\"";
                undefined = false;
                return error;
            case "":
                return null;
            default:
                undefined = true;
                return null;
        }
    }

    private static IEnumerable<string> Values(InstrumentFrame frame)
    {
        for (int i = 0; i < SimulatedChannels.Count; i++)
        {
            float value = frame.Values[i];
            yield return float.IsNaN(value) ? "open" : value.ToString(i < SimulatedChannels.ThermocoupleCount ? "0.0000" : "0.000", CultureInfo.InvariantCulture);
        }
    }
}
