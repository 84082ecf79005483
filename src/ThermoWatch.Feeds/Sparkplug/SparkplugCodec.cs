using System.Buffers.Binary;
using System.Text;

namespace ThermoWatch.Feeds.Sparkplug;

/// <summary>Payloads as bytes, from the field tables of Sparkplug 3.0, chapter 6. Pure: no clock, no broker.</summary>
/// <remarks>
/// proto2: a field that is there is written even if it is zero; a reader tells "false" and "no value" apart by it.
/// The decoder takes what a host sends us, skips fields that it does not know, and answers null to bytes that are no payload.
/// </remarks>
internal static class SparkplugCodec
{
    private const int Varint = 0, Fixed64 = 1, Length = 2, Fixed32 = 5;

    public static byte[] Encode(SparkplugPayload payload)
    {
        var bytes = new MemoryStream(256);
        Number(bytes, 1, payload.TimestampMs);
        foreach (SparkplugMetric metric in payload.Metrics)
        {
            Block(bytes, 2, block => Write(block, metric));
        }

        Number(bytes, 3, payload.Seq);
        return bytes.ToArray();
    }

    public static SparkplugPayload? TryDecode(ReadOnlySpan<byte> bytes)
    {
        List<SparkplugMetric> metrics = [];
        (ulong? timestamp, ulong? seq) = (null, null);
        var reader = new FieldReader(bytes);
        while (reader.Next())
        {
            switch (reader.Field)
            {
                case 1 when reader.Wire == Varint:
                    timestamp = reader.Value;
                    break;
                case 2 when reader.Wire == Length:
                    if (TryMetric(reader.Body) is not { } metric)
                    {
                        return null;
                    }

                    metrics.Add(metric);
                    break;
                case 3 when reader.Wire == Varint:
                    seq = reader.Value;
                    break;
            }
        }

        return reader.Failed ? null : new SparkplugPayload { TimestampMs = timestamp, Metrics = metrics, Seq = seq };
    }

    private static void Write(MemoryStream bytes, SparkplugMetric metric)
    {
        Text(bytes, 1, metric.Name);
        Number(bytes, 2, metric.Alias);
        Number(bytes, 3, metric.TimestampMs);
        Number(bytes, 4, metric.Datatype);
        Number(bytes, 5, metric.IsHistorical ? 1 : null);
        Number(bytes, 7, metric.IsNull ? 1 : null);
        if (metric.Properties.Count > 0)
        {
            Block(bytes, 9, block => Write(block, metric.Properties));
        }

        Number(bytes, 10, metric.IntValue);
        Number(bytes, 11, metric.LongValue);
        if (metric.DoubleValue is { } value)
        {
            Key(bytes, 13, Fixed64);
            Span<byte> space = stackalloc byte[8];
            BinaryPrimitives.WriteDoubleLittleEndian(space, value);
            bytes.Write(space);
        }

        Number(bytes, 14, metric.BooleanValue is { } flag ? (flag ? 1u : 0u) : null);
        Text(bytes, 15, metric.StringValue);
    }

    private static void Write(MemoryStream bytes, IReadOnlyList<SparkplugProperty> properties)
    {
        foreach (SparkplugProperty property in properties)
        {
            Text(bytes, 1, property.Key);
        }

        foreach (SparkplugProperty property in properties)
        {
            Block(bytes, 2, block =>
            {
                Number(block, 1, (ulong)(property.Number is null ? SparkplugType.String : SparkplugType.Int32));
                Number(block, 3, property.Number is { } number ? unchecked((uint)number) : null);
                Text(block, 8, property.Text);
            });
        }
    }

    private static SparkplugMetric? TryMetric(ReadOnlySpan<byte> bytes)
    {
        var metric = new SparkplugMetric();
        var reader = new FieldReader(bytes);
        while (reader.Next())
        {
            metric = (reader.Field, reader.Wire) switch
            {
                (1, Length) => metric with { Name = Encoding.UTF8.GetString(reader.Body) },
                (2, Varint) => metric with { Alias = reader.Value },
                (3, Varint) => metric with { TimestampMs = reader.Value },
                (4, Varint) => metric with { Datatype = unchecked((uint)reader.Value) },
                (5, Varint) => metric with { IsHistorical = reader.Value != 0 },
                (7, Varint) => metric with { IsNull = reader.Value != 0 },
                (10, Varint) => metric with { IntValue = unchecked((uint)reader.Value) },
                (11, Varint) => metric with { LongValue = reader.Value },
                (13, Fixed64) => metric with { DoubleValue = BitConverter.UInt64BitsToDouble(reader.Value) },
                (14, Varint) => metric with { BooleanValue = reader.Value != 0 },
                (15, Length) => metric with { StringValue = Encoding.UTF8.GetString(reader.Body) },
                _ => metric,
            };
        }

        return reader.Failed ? null : metric;
    }

    private static void Key(MemoryStream bytes, int field, int wire) => Raw(bytes, (ulong)((field << 3) | wire));

    private static void Raw(MemoryStream bytes, ulong value)
    {
        while (value >= 0x80)
        {
            bytes.WriteByte((byte)((value & 0x7F) | 0x80));
            value >>= 7;
        }

        bytes.WriteByte((byte)value);
    }

    private static void Number(MemoryStream bytes, int field, ulong? value)
    {
        if (value is { } number)
        {
            Key(bytes, field, Varint);
            Raw(bytes, number);
        }
    }

    private static void Text(MemoryStream bytes, int field, string? text)
    {
        if (text is not null)
        {
            byte[] utf8 = Encoding.UTF8.GetBytes(text);
            Key(bytes, field, Length);
            Raw(bytes, (ulong)utf8.Length);
            bytes.Write(utf8);
        }
    }

    private static void Block(MemoryStream bytes, int field, Action<MemoryStream> write)
    {
        var block = new MemoryStream(64);
        write(block);
        Key(bytes, field, Length);
        Raw(bytes, (ulong)block.Length);
        block.WriteTo(bytes);
    }

    /// <summary>Walks the fields of a message; bad bytes end it with <see cref="Failed"/>.</summary>
    private ref struct FieldReader(ReadOnlySpan<byte> bytes)
    {
        private ReadOnlySpan<byte> _rest = bytes;

        public int Field { get; private set; }

        public int Wire { get; private set; }

        public ulong Value { get; private set; }

        public ReadOnlySpan<byte> Body { get; private set; }

        public bool Failed { get; private set; }

        public bool Next()
        {
            if (_rest.IsEmpty || Failed)
            {
                return false;
            }

            ulong key = Read();
            (Field, Wire) = ((int)(key >> 3 & int.MaxValue), (int)(key & 7));
            Value = 0;
            Body = default;
            switch (Wire)
            {
                case Varint:
                    Value = Read();
                    break;
                case Fixed64:
                    ReadOnlySpan<byte> eight = Take(8);
                    Value = eight.Length == 8 ? BinaryPrimitives.ReadUInt64LittleEndian(eight) : 0;
                    break;
                case Length:
                    Body = Take(Read());
                    break;
                case Fixed32:
                    Take(4);
                    break;
                default:
                    Failed = true;
                    break;
            }

            Failed |= Field == 0;
            return !Failed;
        }

        private ulong Read()
        {
            ulong value = 0;
            for (int shift = 0; shift < 64 && !_rest.IsEmpty; shift += 7)
            {
                byte next = _rest[0];
                _rest = _rest[1..];
                value |= (ulong)(next & 0x7F) << shift;
                if (next < 0x80)
                {
                    return value;
                }
            }

            Failed = true;
            return 0;
        }

        private ReadOnlySpan<byte> Take(ulong count)
        {
            if (count > (ulong)_rest.Length)
            {
                Failed = true;
                return default;
            }

            ReadOnlySpan<byte> taken = _rest[..(int)count];
            _rest = _rest[(int)count..];
            return taken;
        }
    }
}
