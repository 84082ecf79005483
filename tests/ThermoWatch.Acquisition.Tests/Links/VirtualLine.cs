using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Acquisition.Links;

namespace ThermoWatch.Acquisition.Tests.Links;

/// <summary>A line on a fake clock: what is sent goes to a script, whose pieces come back at their times. Waiting moves the clock.</summary>
internal sealed class VirtualLine(FakeTimeProvider time, Func<byte[], IEnumerable<(double AfterMs, byte[] Bytes)>> script) : ILink
{
    private readonly SortedList<(DateTimeOffset At, int Order), byte[]> _coming = [];
    private int _order;

    public DateTimeOffset Began { get; } = time.GetUtcNow();

    public List<byte[]> Sent { get; } = [];

    public List<DateTimeOffset> SentAt { get; } = [];

    public string Name => "line";

    public bool IsOpen { get; private set; }

    public LinkResult Open(TimeSpan timeout)
    {
        IsOpen = true;
        return LinkResult.Done();
    }

    /// <summary>Lets bytes come in though nobody asked.</summary>
    public void Say(double afterMs, byte[] bytes) => _coming.Add((time.GetUtcNow().AddMilliseconds(afterMs), _order++), bytes);

    public LinkResult Write(ReadOnlySpan<byte> bytes, TimeSpan timeout)
    {
        Sent.Add(bytes.ToArray());
        SentAt.Add(time.GetUtcNow());
        foreach ((double afterMs, byte[] piece) in script(bytes.ToArray())) Say(afterMs, piece);
        return LinkResult.Done();
    }

    public LinkResult Read(Span<byte> buffer, TimeSpan timeout)
    {
        DateTimeOffset until = time.GetUtcNow() + timeout;
        if (_coming.Count == 0 || _coming.Keys[0].At > until)
        {
            time.Advance(timeout);
            return LinkResult.TimedOut;
        }

        ((DateTimeOffset at, _), byte[] bytes) = (_coming.Keys[0], _coming.Values[0]);
        if (at > time.GetUtcNow()) time.Advance(at - time.GetUtcNow());
        int count = Math.Min(bytes.Length, buffer.Length);
        bytes.AsSpan(0, count).CopyTo(buffer);
        _coming.RemoveAt(0);
        if (count < bytes.Length) _coming.Add((at, -1), bytes[count..]);
        return LinkResult.Done(count);
    }

    public int TakeInput(Span<byte> buffer) =>
        _coming.Count > 0 && _coming.Keys[0].At <= time.GetUtcNow() ? Read(buffer, TimeSpan.Zero).Count : 0;

    public void Close() => IsOpen = false;

    public void Abort() => IsOpen = false;

    public void Dispose() => IsOpen = false;
}
