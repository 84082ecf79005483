namespace ThermoWatch.Recording.Codecs;

/// <summary>A column of raw numbers: a form for nearly all of them, and the few that do not fit it written out.</summary>
/// <remarks>So a sensor that opens now and then (NaN between counts) costs a few bytes, not the column.</remarks>
internal sealed class NumberColumn
{
    private static readonly NumberForm[] Trials =
        [.. Enumerable.Range((int)NumberForm.Integer, 11).Select(code => (NumberForm)code), NumberForm.Single, NumberForm.Double];

    private readonly ColumnCodec _columns = new();
    private readonly List<(int Start, int Count, long Bits)> _exceptions = [];
    private long[] _integers = [];

    /// <summary>Writes a column.</summary>
    public NumberForm Write(ByteSink sink, ReadOnlySpan<double> values)
    {
        if (_integers.Length < values.Length)
        {
            _integers = new long[values.Length];
        }

        NumberForm form = Convert(values);

        sink.Byte((byte)form);
        sink.VarUInt((ulong)_exceptions.Count);
        int end = 0;
        foreach ((int start, int count, long bits) in _exceptions)
        {
            sink.VarUInt((ulong)(start - end));
            sink.VarUInt((ulong)count);
            sink.Int64(bits);
            end = start + count;
        }

        _columns.Write(sink, _integers.AsSpan(0, values.Length));
        return form;
    }

    /// <summary>Reads a column that fills the values; the source fails if it does not.</summary>
    public static void Read(ref ByteSource source, Span<double> values, Span<long> scratch)
    {
        var form = (NumberForm)source.Byte();
        if (!NumberForms.IsKnown(form))
        {
            source.Fail();
        }

        int exceptions = source.Count();
        ByteSource ahead = source;
        for (int i = 0; i < exceptions; i++)
        {
            source.VarUInt();
            source.VarUInt();
            source.Int64();
        }

        ColumnCodec.Read(ref source, scratch);
        if (source.Failed)
        {
            return;
        }

        NumberForms.ToNumbers(scratch, form, values);
        int end = 0;
        for (int i = 0; i < exceptions; i++)
        {
            ulong start = ahead.VarUInt(), count = ahead.VarUInt();
            double value = BitConverter.Int64BitsToDouble(ahead.Int64());
            if (start > (ulong)(values.Length - end) || count > (ulong)(values.Length - end) - start)
            {
                source.Fail();
                return;
            }

            values.Slice(end + (int)start, (int)count).Fill(value);
            end += (int)start + (int)count;
        }
    }

    private NumberForm Convert(ReadOnlySpan<double> values)
    {
        foreach (NumberForm trial in Trials)
        {
            if (TryConvert(values, trial))
            {
                return trial;
            }
        }

        throw new InvalidOperationException("The bits of a double hold any double.");
    }

    /// <summary>Holds the column in a form, if that leaves few exceptions; a stretch of one NaN counts as one.</summary>
    private bool TryConvert(ReadOnlySpan<double> values, NumberForm form)
    {
        _exceptions.Clear();
        if (form == NumberForm.Integer && NumberForms.AreIntegers(values, _integers))
        {
            return true;
        }

        int allowed = values.Length / 64 + 1;
        long last = 0;
        for (int i = 0; i < values.Length; i++)
        {
            if (NumberForms.TryAs(values[i], form, out long integer))
            {
                last = integer;
            }
            else if (!TryAddException(i, BitConverter.DoubleToInt64Bits(values[i]), allowed))
            {
                return false;
            }

            _integers[i] = last;
        }

        return true;
    }

    private bool TryAddException(int index, long bits, int allowed)
    {
        if (_exceptions is [.., var before] && before.Start + before.Count == index && before.Bits == bits)
        {
            _exceptions[^1] = (before.Start, before.Count + 1, bits);
            return true;
        }

        _exceptions.Add((index, 1, bits));
        return _exceptions.Count <= allowed;
    }
}
