using System.Buffers.Binary;
using System.Text;

namespace ThermoWatch.Feeds.Tests.Sparkplug.Conformance;

/// <summary>A packet that a client sent, as far as the tests look at it (MQTT 3.1.1 and 5, OASIS). Written for the tests: the product's library has no part in it.</summary>
internal sealed record Packet(string Kind)
{
    public byte[] Bytes { get; init; } = [];

    public bool CleanStart { get; set; }

    public long? SessionExpiry { get; set; }

    public string? WillTopic { get; set; }

    public byte[] WillPayload { get; set; } = [];

    public int WillQuality { get; set; }

    public bool WillRetain { get; set; }

    public List<(string Filter, int Quality)> Filters { get; set; } = [];

    public string Topic { get; set; } = "";

    public byte[] Payload { get; set; } = [];

    public int Quality { get; set; }

    /// <summary>Number of a PUBLISH of quality 1; else zero.</summary>
    public int Id { get; set; }

    public bool Retain { get; set; }

    public int Reason { get; set; }

    public Packet Copy() => this with { Filters = [.. Filters] };
}

/// <summary>Cuts a client's bytes into packets.</summary>
internal sealed class PacketReader
{
    private static readonly Encoding Strict = new UTF8Encoding(false, throwOnInvalidBytes: true);
    private readonly List<byte> _bytes = [];
    private int _version;

    public IEnumerable<Packet> Read(byte[] more)
    {
        _bytes.AddRange(more);
        while (true)
        {
            (int head, int length) = Head();
            if (head == 0 || _bytes.Count < head + length)
            {
                yield break;
            }

            byte first = _bytes[0];
            byte[] body = [.. _bytes.Skip(head).Take(length)];
            _bytes.RemoveRange(0, head + length);
            yield return Parse(first, new Body(body));
        }
    }

    private (int Head, int Length) Head()
    {
        int length = 0;
        for (int i = 1; i < Math.Min(5, _bytes.Count); i++)
        {
            length |= (_bytes[i] & 0x7F) << (7 * (i - 1));
            if (_bytes[i] < 0x80)
            {
                return (i + 1, length);
            }
        }

        return (0, 0);
    }

    private Packet Parse(byte first, Body body)
    {
        switch (first >> 4)
        {
            case 1:
                return Connect(body);
            case 3:
                int quality = (first >> 1) & 3;
                var publish = new Packet("PUBLISH") { Quality = quality, Retain = (first & 1) == 1, Topic = body.Text() };
                publish.Id = quality > 0 ? (body.Byte() << 8) | body.Byte() : 0;
                if (_version == 5)
                {
                    body.Properties();
                }

                publish.Payload = body.Rest();
                return publish;
            case 8:
                body.Skip(2);
                if (_version == 5)
                {
                    body.Properties();
                }

                var subscribe = new Packet("SUBSCRIBE");
                while (!body.Ended)
                {
                    subscribe.Filters.Add((body.Text(), body.Byte() & 3));
                }

                return subscribe;
            case 14:
                return new Packet("DISCONNECT") { Reason = body.Ended ? 0 : body.Byte() };
            default:
                return new Packet("OTHER");
        }
    }

    private Packet Connect(Body body)
    {
        body.Text();
        _version = body.Byte();
        int flags = body.Byte();
        body.Skip(2);
        var connect = new Packet("CONNECT")
        {
            CleanStart = (flags & 2) != 0,
            WillQuality = (flags >> 3) & 3,
            WillRetain = (flags & 0x20) != 0,
            SessionExpiry = _version == 5 ? body.Properties().GetValueOrDefault(0x11, -1) : null,
        };
        body.Text();
        if ((flags & 4) != 0)
        {
            if (_version == 5)
            {
                body.Properties();
            }

            connect.WillTopic = body.Text();
            connect.WillPayload = body.Data();
        }

        return connect;
    }

    private sealed class Body(byte[] bytes)
    {
        private int _at;

        public bool Ended => _at >= bytes.Length;

        public int Byte() => bytes[_at++];

        public void Skip(int count) => _at += count;

        public byte[] Data()
        {
            int length = BinaryPrimitives.ReadUInt16BigEndian(bytes.AsSpan(_at));
            _at += 2 + length;
            return bytes[(_at - length).._at];
        }

        public string Text() => Strict.GetString(Data());

        public byte[] Rest() => bytes[_at..];

        /// <summary>Properties with a number for a value; the others are passed over.</summary>
        public Dictionary<int, long> Properties()
        {
            int length = 0;
            for (int shift = 0; ; shift += 7)
            {
                int next = Byte();
                length |= (next & 0x7F) << shift;
                if (next < 0x80)
                {
                    break;
                }
            }

            Dictionary<int, long> found = [];
            int end = _at + length;
            while (_at < end)
            {
                int id = Byte();
                switch (id)
                {
                    case 0x01 or 0x17 or 0x19 or 0x24 or 0x25 or 0x28 or 0x29 or 0x2A:
                        found[id] = Byte();
                        break;
                    case 0x13 or 0x21 or 0x22 or 0x23:
                        found[id] = BinaryPrimitives.ReadUInt16BigEndian(bytes.AsSpan(_at));
                        _at += 2;
                        break;
                    case 0x02 or 0x11 or 0x18 or 0x27:
                        found[id] = BinaryPrimitives.ReadUInt32BigEndian(bytes.AsSpan(_at));
                        _at += 4;
                        break;
                    case 0x26:
                        Data();
                        Data();
                        break;
                    default:
                        Data();
                        break;
                }
            }

            return found;
        }
    }
}
