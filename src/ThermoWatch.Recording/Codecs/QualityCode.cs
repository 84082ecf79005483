using System.Runtime.InteropServices;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Recording.Codecs;

/// <summary>A quality in one byte: the level in the top two bits, the reason in the lower six.</summary>
internal static class QualityCode
{
    public static byte Of(SignalQuality quality) => (byte)((int)quality.Level << 6 | (int)quality.Reason & 0x3F);

    public static SignalQuality From(byte code) => new((Quality)(code >> 6), (QualityReason)(code & 0x3F));

    /// <summary>Whether all are the same; by their bytes, as comparing them one by one costs more than writing them.</summary>
    public static bool Same(ReadOnlySpan<SignalQuality> a, ReadOnlySpan<SignalQuality> b) =>
        MemoryMarshal.AsBytes(a).SequenceEqual(MemoryMarshal.AsBytes(b));

    /// <summary>Runs of equal qualities: length as a varint, then the code.</summary>
    public static void Write(ByteSink sink, ReadOnlySpan<SignalQuality> qualities)
    {
        for (int start = 0; start < qualities.Length;)
        {
            int end = start + 1;
            while (end < qualities.Length && qualities[end] == qualities[start])
            {
                end++;
            }

            sink.VarUInt((ulong)(end - start));
            sink.Byte(Of(qualities[start]));
            start = end;
        }
    }

    public static void Read(ref ByteSource source, Span<SignalQuality> qualities)
    {
        for (int start = 0; start < qualities.Length && !source.Failed;)
        {
            ulong run = source.VarUInt();
            SignalQuality quality = From(source.Byte());
            if (run == 0 || run > (ulong)(qualities.Length - start))
            {
                source.Fail();
                return;
            }

            qualities.Slice(start, (int)run).Fill(quality);
            start += (int)run;
        }
    }
}
