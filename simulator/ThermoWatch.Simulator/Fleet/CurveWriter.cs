using System.Buffers;
using System.Buffers.Text;
using System.Text;
using ThermoWatch.Domain.Thermocouples;
using ThermoWatch.Simulator.Instruments;

namespace ThermoWatch.Simulator.Fleet;

/// <summary>Writes a played run as curve files: what was measured, and what was true.</summary>
internal static class CurveWriter
{
    private const string ProcessHeads = "vapour [degC] vapour,transport [degC] transport,chamber [mbar] pressure";

    /// <summary>The curves as the instruments gave them; what did not arrive or was open is an empty field.</summary>
    public static byte[] Measured(FleetRun run)
    {
        bool product = run.Member.Scenario.Instrumented;
        int first = product ? 0 : SimulatedChannels.ProductCount;
        var text = new RowBuffer(run.Rows.Count * (product ? 96 : 40));
        text.Head(product ? TruthFile.Header : ProcessHeads);
        Span<double> last = stackalloc double[SimulatedChannels.ThermocoupleCount];
        last.Fill(25);
        foreach (FleetRow row in run.Rows)
        {
            text.Start(row.Seconds);
            double terminals = TypeK.MillivoltsAt(row.Measured.ColdJunctionCelsius);
            for (int i = first; i < SimulatedChannels.ThermocoupleCount; i++)
            {
                double celsius = row.Arrived ? Linearisation.HotJunction(row.Measured.Values[i] + terminals, last[i]) : double.NaN;
                last[i] = double.IsNaN(celsius) ? last[i] : celsius;
                text.Field(celsius, 2);
            }

            text.Field(row.Arrived ? row.Measured.PressureMbar : double.NaN, 3);
            text.End();
        }

        return text.Bytes;
    }

    /// <summary>The curves as they were.</summary>
    public static byte[] True(FleetRun run)
    {
        var text = new RowBuffer(run.Rows.Count * 100);
        text.Head(TruthFile.Header);
        foreach (FleetRow row in run.Rows)
        {
            text.Start(row.Seconds);
            foreach (double celsius in row.Truth.ProductCelsius)
            {
                text.Field(celsius, 3);
            }

            text.Field(row.Truth.VapourCelsius, 3);
            text.Field(row.Truth.TransportCelsius, 3);
            text.Field(row.Truth.ChamberMbar, 4);
            text.End();
        }

        return text.Bytes;
    }

    /// <summary>Rows of fixed decimals in UTF-8. A fleet is mostly the writing of numbers, so they are written as whole ones with a dot put in.</summary>
    private sealed class RowBuffer(int capacity)
    {
        private const int LongestField = 32;
        private static readonly int[] Powers = [1, 10, 100, 1_000, 10_000];
        private readonly ArrayBufferWriter<byte> _bytes = new(capacity);

        public byte[] Bytes => _bytes.WrittenSpan.ToArray();

        public void Head(string columns) => _bytes.Write(Encoding.UTF8.GetBytes($"time_s,{columns}\n"));

        public void Start(double seconds) => Number(seconds, 1);

        public void Field(double value, int decimals)
        {
            _bytes.Write(","u8);
            if (!double.IsNaN(value))
            {
                Number(value, decimals);
            }
        }

        public void End() => _bytes.Write("\n"u8);

        private void Number(double value, int decimals)
        {
            Span<byte> text = _bytes.GetSpan(LongestField);
            long whole = (long)Math.Round(value * Powers[decimals]);
            int at = 0;
            if (whole < 0)
            {
                text[at++] = (byte)'-';
                whole = -whole;
            }

            (long units, long rest) = Math.DivRem(whole, Powers[decimals]);
            Utf8Formatter.TryFormat(units, text[at..], out int length);
            at += length;
            text[at++] = (byte)'.';
            Utf8Formatter.TryFormat(rest, text[at..], out length, new('D', (byte)decimals));
            _bytes.Advance(at + length);
        }
    }
}
