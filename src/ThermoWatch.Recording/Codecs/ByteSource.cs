using System.Buffers.Binary;
using System.Text;

namespace ThermoWatch.Recording.Codecs;

/// <summary>Reads bytes that may be damaged: past the end everything is zero and <see cref="Failed"/> stays set.</summary>
/// <remarks>So a decoder reads straight through and asks once at the end whether to believe it.</remarks>
internal ref struct ByteSource(ReadOnlySpan<byte> bytes)
{
    private ReadOnlySpan<byte> _rest = bytes;

    /// <summary>Whether something was asked for that is not there, or that cannot be.</summary>
    public bool Failed { get; private set; }

    public readonly int Left => _rest.Length;

    /// <summary>Marks the bytes as not believable.</summary>
    public void Fail()
    {
        Failed = true;
        _rest = default;
    }

    public ReadOnlySpan<byte> Bytes(int count)
    {
        if (count < 0 || count > _rest.Length)
        {
            Fail();
            return default;
        }

        ReadOnlySpan<byte> taken = _rest[..count];
        _rest = _rest[count..];
        return taken;
    }

    public ReadOnlySpan<byte> All() => Bytes(_rest.Length);

    public byte Byte() => Bytes(1) is [byte value] ? value : (byte)0;

    public ushort UInt16() => Bytes(2) is { Length: 2 } b ? BinaryPrimitives.ReadUInt16LittleEndian(b) : (ushort)0;

    public uint UInt32() => Bytes(4) is { Length: 4 } b ? BinaryPrimitives.ReadUInt32LittleEndian(b) : 0;

    public ulong UInt64() => Bytes(8) is { Length: 8 } b ? BinaryPrimitives.ReadUInt64LittleEndian(b) : 0;

    public long Int64() => Bytes(8) is { Length: 8 } b ? BinaryPrimitives.ReadInt64LittleEndian(b) : 0;

    public ulong VarUInt()
    {
        ulong value = 0;
        for (int shift = 0; shift < 64; shift += 7)
        {
            byte next = Byte();
            if (shift == 63 && next > 1)
            {
                break;
            }

            value |= (ulong)(next & 0x7F) << shift;
            if (next < 0x80)
            {
                return value;
            }
        }

        Fail();
        return 0;
    }

    public long VarInt() => ZigZag.Decode(VarUInt());

    /// <summary>A count of things that take at least one bit each, so that no count can ask for absurd memory.</summary>
    public int Count(int perByte = 1)
    {
        ulong count = VarUInt();
        if (count > (ulong)Left * (ulong)perByte)
        {
            Fail();
            return 0;
        }

        return (int)count;
    }

    public string Text() => Encoding.UTF8.GetString(Bytes(Count()));
}
