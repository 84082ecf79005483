using System.Text;
using ThermoWatch.Acquisition.Links;
using ThermoWatch.Acquisition.Polling;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Text;

/// <summary>Reads lines of one device: waits for them, or asks for them.</summary>
internal sealed class TextDevice(int index, TextDeviceOptions configured, ILink link, TimeProvider time) : IBusDevice
{
    private readonly TextLine _line = new(configured.Format, configured.Points);
    private readonly LineReader _reader = new(link, time);
    private readonly byte[]? _query = configured.Query is { } query ? Encoding.UTF8.GetBytes(query + configured.QueryEnd) : null;
    private readonly byte[] _echo = Encoding.UTF8.GetBytes(configured.Query ?? "");
    private readonly byte[] _last = new byte[80];
    private volatile TextDeviceOptions _options = configured;
    private bool _fresh = true;
    private int _lastLength;
    private long _lateUntil;

    public int Index => index;

    public DeviceOptions Options => _options;

    public void Change(DeviceOptions changed) => _options = (TextDeviceOptions)changed;

    public bool TalksUnasked => _options.Query is null;

    /// <summary>Lines that could not be taken; each was shown in a reason.</summary>
    public long Garbled { get; private set; }

    /// <summary>The last line, for people.</summary>
    public string LastLine => Shown(_last.AsSpan(0, _lastLength));

    public void Connected() => _fresh = true;

    public ScanResult Scan()
    {
        if (_fresh) _reader.Restart(inTheMiddle: TalksUnasked);
        _fresh = false;
        double[] values = new double[_options.Points.Count];
        var qualities = new SignalQuality[_options.Points.Count];
        LinkResult read = _query is null ? Listen(out ReadOnlySpan<byte> line, out long sentAt) : Ask(out line, out sentAt);
        if (read.Status != LinkStatus.Done) return Nothing(read, values, qualities, sentAt);
        long receivedAt = _query is null ? _reader.ReceivedAt : time.GetTimestamp();
        _lastLength = Math.Min(line.Length, _last.Length);
        line[.._lastLength].CopyTo(_last);
        string? wrong = _line.Take(line, values, qualities);
        if (wrong is null) return new(ScanStatus.Answered, values, qualities, sentAt, receivedAt, null);
        Garbled++;
        Fill(values, qualities, QualityReason.Garbled);
        return new(ScanStatus.Garbled, values, qualities, sentAt, receivedAt,
            $"A line of {link.Name} cannot be read: {wrong}. It was \"{Shown(line)}\". Check the baud rate and the format.");
    }

    /// <summary>Bytes as people can read them: what is not plain text as <c>\xNN</c>, and at most 80 characters.</summary>
    internal static string Shown(ReadOnlySpan<byte> line)
    {
        var text = new StringBuilder();
        foreach (byte b in line)
        {
            if (text.Length > 80) return text.Append("...").ToString();
            if (b is >= 0x20 and < 0x7F and not (byte)'\\' and not (byte)'"') text.Append((char)b);
            else text.Append(System.Globalization.CultureInfo.InvariantCulture, $"\\x{b:X2}");
        }

        return text.ToString();
    }

    private LinkResult Listen(out ReadOnlySpan<byte> line, out long sentAt)
    {
        TimeSpan patience = 3 * _options.Period;
        LinkResult read = _reader.ReadLine(patience < TimeSpan.FromSeconds(1) ? TimeSpan.FromSeconds(1) : patience, out line);
        sentAt = read.Status == LinkStatus.Done ? _reader.ReceivedAt : time.GetTimestamp();
        return read;
    }

    private LinkResult Ask(out ReadOnlySpan<byte> line, out long sentAt)
    {
        line = default;
        sentAt = time.GetTimestamp();

        // An answer bears no number: one that comes late would be taken for the next, so it is waited for and dropped.
        TimeSpan late = time.GetElapsedTime(sentAt, _lateUntil);
        if (late > TimeSpan.Zero && _reader.ReadLine(late, out _) is { Status: not (LinkStatus.Done or LinkStatus.TimedOut) } gone) return gone;
        _lateUntil = 0;
        link.DiscardInput();
        _reader.Restart(inTheMiddle: false);
        LinkResult sent = link.Write(_query, _options.Timeout);
        sentAt = time.GetTimestamp();
        if (sent.Status != LinkStatus.Done) return sent;
        LinkResult read = _reader.ReadLine(_options.Timeout, out line);
        if (read.Status == LinkStatus.Done && line.SequenceEqual(_echo)) read = _reader.ReadLine(_options.Timeout - time.GetElapsedTime(sentAt), out line);
        if (read.Status == LinkStatus.TimedOut) _lateUntil = sentAt + (long)(2 * _options.Timeout.TotalSeconds * time.TimestampFrequency);
        return read;
    }

    private ScanResult Nothing(LinkResult read, double[] values, SignalQuality[] qualities, long sentAt)
    {
        Fill(values, qualities, QualityReason.NoCommunication);
        bool silent = read.Status == LinkStatus.TimedOut;
        string reason = !silent ? read.Reason ?? $"{link.Name} is not connected."
            : TalksUnasked ? $"{link.Name} says nothing. Check that the device is on, its cable, and that it talks unasked."
            : $"{link.Name} does not answer '{_options.Query}' within {_options.Timeout.TotalSeconds:0.###} s. Check that the device is on, the query and its end.";
        return new(silent ? ScanStatus.Silent : ScanStatus.LinkLost, values, qualities, sentAt, time.GetTimestamp(), reason);
    }

    private static void Fill(double[] values, SignalQuality[] qualities, QualityReason reason)
    {
        Array.Fill(values, double.NaN);
        Array.Fill(qualities, SignalQuality.Bad(reason));
    }
}
