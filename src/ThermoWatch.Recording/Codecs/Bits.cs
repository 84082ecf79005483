using System.Buffers.Binary;
using System.Numerics;
using System.Runtime.CompilerServices;

namespace ThermoWatch.Recording.Codecs;

/// <summary>Bits in the making, lowest first. The room given must be enough for all of them and eight bytes more.</summary>
internal ref struct BitWriter(Span<byte> room)
{
    private readonly Span<byte> _room = room;
    private ulong _held;
    private int _count;
    private int _at;

    /// <summary>Appends the lowest bits of a number; at most 56, and no higher bit is set.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public void Put(ulong bits, int count)
    {
        // Eight bytes are written every time, of which only whole ones are kept: cheaper than asking whether there are any.
        unchecked
        {
            _held |= bits << _count;
            _count += count;
            BinaryPrimitives.WriteUInt64LittleEndian(_room[_at..], _held);
            _at += _count >> 3;
            _held >>= _count & ~7;
            _count &= 7;
        }
    }

    /// <summary>Fills the last byte with zeros and returns how many bytes there are.</summary>
    public int Finish()
    {
        return _count > 0 ? _at + 1 : _at; // the byte itself has been written with the bits
    }
}

/// <summary>Reads bits, lowest first. Past the end come zeros, and <see cref="Overrun"/> says so.</summary>
internal ref struct BitReader(ReadOnlySpan<byte> bytes)
{
    private readonly ReadOnlySpan<byte> _bytes = bytes;
    private ulong _held;
    private int _count;
    private int _at;

    /// <summary>Whether more bits were taken than there are.</summary>
    public readonly bool Overrun => _count < 0;

    /// <summary>Makes at least 56 bits ready, as far as there are any. To be called before every 56 bits taken.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public void Fill()
    {
        if (unchecked(_at + 8) <= _bytes.Length && _count >= 0)
        {
            _held |= BinaryPrimitives.ReadUInt64LittleEndian(_bytes[_at..]) << _count;
            _at = unchecked(_at + ((63 - _count) >> 3));
            _count |= 56;
            return;
        }

        BitReader copy = this; // by whose address the call goes: this one can stay in registers
        copy.FillAtEnd();
        this = copy;
    }

    [MethodImpl(MethodImplOptions.NoInlining)]
    private void FillAtEnd()
    {
        if (_bytes.Length < 8)
        {
            for (; _count is >= 0 and <= 56 && _at < _bytes.Length; _count += 8)
            {
                _held |= (ulong)_bytes[_at++] << _count;
            }
        }
        else if (_count >= 0)
        {
            int left = _bytes.Length - _at, taken = Math.Min(left, (63 - _count) >> 3);
            _held |= left == 0 ? 0 : BinaryPrimitives.ReadUInt64LittleEndian(_bytes[^8..]) >> (64 - 8 * left) << _count;
            _at += taken;
            _count += 8 * taken;
        }
    }

    /// <summary>Takes up to 32 bits.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public ulong Take(int count)
    {
        ulong bits = _held & unchecked((1UL << count) - 1);
        _held >>= count;
        _count = unchecked(_count - count);
        return bits;
    }

    /// <summary>Takes zeros up to and with the next one, and returns how many zeros there were; 64 if there is no one.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public int TakeZeros()
    {
        int zeros = BitOperations.TrailingZeroCount(_held);
        if (zeros >= 63)
        {
            _count = -1;
            return 64;
        }

        _held = _held >> zeros >> 1;
        _count = unchecked(_count - zeros - 1);
        return zeros;
    }
}
