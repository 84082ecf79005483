using ThermoWatch.Acquisition.Links;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Polling;

/// <summary>The one master of one bus: connects it, polls its devices in turn, and heals it.</summary>
/// <remarks>It waits, calls and counts; the rules are in <see cref="PollSchedule"/>, <see cref="DeviceHealth"/> and <see cref="Backoff"/>.</remarks>
internal sealed class BusWorker
{
    private const int MissesToDown = 3;
    private static readonly TimeSpan FirstRetry = TimeSpan.FromMilliseconds(100);

    /// <summary>Longest pause between two tries of a silent unit whose bus others use: each try costs them a time-out.</summary>
    private static readonly TimeSpan SilentUnitCap = TimeSpan.FromSeconds(30);

    private readonly IConnection _connection;
    private readonly Seat[] _seats;
    private readonly AnchoredClock _clock;
    private readonly TimeProvider _time;
    private readonly InputSink _sink;
    private readonly Backoff _reconnect;
    private readonly PollSchedule _schedule;
    private long _retryAt;
    private volatile Action<IBusDevice, ScanResult>? _overheard;

    public BusWorker(
        IConnection connection, IReadOnlyList<IBusDevice> devices, InputSink sink, AnchoredClock clock, TimeProvider time, Random jitter)
    {
        _connection = connection;
        _sink = sink;
        _clock = clock;
        _time = time;
        TimeSpan cap = devices.Min(d => d.Options.RetryCap);
        _reconnect = new Backoff(FirstRetry, cap, jitter);
        _seats = [.. devices.Select(d => new Seat(d, new Backoff(FirstRetry, devices.Count == 1 ? cap : SilentUnitCap, jitter)))];
        Loans = new LineLoans(time);
        _schedule = new PollSchedule([.. devices.Select(Slot)], 0);
    }

    /// <summary>For a test that owns the clock: called whenever the worker is about to wait so long.</summary>
    public Action<TimeSpan>? Waiting { get; init; }

    /// <summary>Where others borrow the connection between polls.</summary>
    public LineLoans Loans { get; }

    /// <summary>Told of each poll of whatever device, on the bus's thread; null: nobody.</summary>
    public Action<IBusDevice, ScanResult>? Overheard { get => _overheard; set => _overheard = value; }

    /// <summary>The connection and its name; only whoever has borrowed it may use it.</summary>
    public IConnection Connection => _connection;

    /// <summary>The devices on it and what is counted of them.</summary>
    public IReadOnlyList<DeviceStatistics> Statistics => [.. _seats.Select(s => s.Statistics)];

    /// <summary>The device with a place in the cell's list; null if it is on another wire.</summary>
    public IBusDevice? Find(int index) => _seats.FirstOrDefault(s => s.Device.Index == index)?.Device;

    /// <summary>Runs until told to stop. Call on a thread of its own.</summary>
    public void Run(CancellationToken stop)
    {
        using CancellationTokenRegistration abort = stop.Register(_connection.Abort);
        using var pause = new Pause(_time, stop) { Waiting = Waiting };
        foreach (Seat seat in _seats) Report(seat, HealthEvent.Attempt, $"Connecting to {_connection.Name}.");
        while (!stop.IsCancellationRequested)
        {
            if (!_connection.IsOpen && !Connect(pause)) continue;
            int next = _schedule.Next(out long due);
            if (Loans.Lend(new TimeSpan(due - pause.Now))) continue;
            Awaited awaited = pause.Until(due, Loans.Asked);
            if (awaited == Awaited.Woken) continue;
            if (awaited == Awaited.Stopped || !Poll(_seats[next], stop)) break;
            _seats[next].Statistics.Late += _schedule.Done(next, pause.Now);
            Afterwards(_seats[next], next, pause.Now);
        }

        Loans.Close();
        _connection.Dispose();
    }

    private bool Connect(Pause pause)
    {
        if (_retryAt > pause.Now) Loans.RefuseAll(_seats[0].Health.Reason is { Length: > 0 } why ? why : $"{_connection.Name} is not connected.");
        if (pause.Until(_retryAt, Loans.Asked) != Awaited.Due) return false;
        LinkResult opened = _connection.Open(_seats.Max(s => s.Device.Options.ConnectTimeout));
        if (opened.Status == LinkStatus.Aborted) return false;

        // Also after success: a device that takes the connection and drops it at once must not be hammered.
        _retryAt = pause.Now + _reconnect.Next().Ticks;
        if (opened.Status == LinkStatus.Done)
        {
            _schedule.Restart(pause.Now);
            for (int i = 0; i < _seats.Length; i++)
            {
                _seats[i].Tried = false;
                _seats[i].Device.Connected();
                if (_seats[i].Device.NextDue is { } due) _schedule.Defer(i, due);
            }

            return true;
        }

        foreach (Seat seat in _seats) Report(seat, HealthEvent.ConnectFailed, opened.Reason ?? "");
        return false;
    }

    private bool Poll(Seat seat, CancellationToken stop)
    {
        seat.Statistics.Polls++;
        seat.Tried = true;
        ScanResult scan = seat.Device.Scan();
        PlausibleRange.Mark(seat.Plausible, scan.Values, scan.Qualities);
        if (stop.IsCancellationRequested) return false;
        _overheard?.Invoke(seat.Device, scan);

        // A miss is in the record once, as a bad scan. After that the device's state says that nothing comes.
        bool record = scan.Status == ScanStatus.Answered
            || (scan.Status is ScanStatus.Silent or ScanStatus.LinkLost && seat.Answering)
            || (scan.Status == ScanStatus.Garbled && seat.Health.State is DeviceState.Up or DeviceState.Suspect);
        if (record && scan.Values.Length > 0 && !_sink.Write(new ScanInput(new RawScan(seat.Device.Index, seat.Rising(_clock.Middle(scan.SentAt, scan.EndedAt)), scan.Values, scan.Qualities))))
            seat.Statistics.Lost++;
        if (scan.Status == ScanStatus.Answered)
        {
            _reconnect.Reset();
            seat.Retry.Reset();
            seat.Statistics.Answered(_time.GetElapsedTime(scan.SentAt, scan.EndedAt));
        }
        else
        {
            seat.Statistics.Missed++;
        }

        seat.Answering = scan.Status == ScanStatus.Answered;
        string? others = _connection.Disturbance;
        Report(seat, seat.Answering && others is not null ? HealthEvent.Disturbed : EventOf(scan.Status), Join(scan.Reason, others));
        seat.Ended = scan.Status == ScanStatus.Ended;
        return true;
    }

    private void Afterwards(Seat seat, int index, long now)
    {
        if (seat.Ended) _schedule.Defer(index, long.MaxValue);
        else if (seat.Device.NextDue is { } due) _schedule.Defer(index, due);
        if (seat.Ended || seat.Health.State != DeviceState.Down)
        {
            if (!_connection.IsOpen) LoseLink(seat);
            return;
        }

        // A unit that is away costs a time-out at each try: the others keep their rate if it is tried rarely.
        // One that talks unasked is listened to all the time: what it says must not grow old in a buffer.
        if (!seat.Device.TalksUnasked) _schedule.Defer(index, now + seat.Retry.Next().Ticks);
        if (!_connection.IsOpen) LoseLink(seat);
        else if (_seats.All(s => s.Tried && s.Health.State == DeviceState.Down)) Reconnect(now);
    }

    // A connection on which everybody is silent may be dead at the far end without a word: only a new one tells.
    private void Reconnect(long now)
    {
        _connection.Close();
        _retryAt = now + _reconnect.Next().Ticks;
    }

    private void LoseLink(Seat noticedBy)
    {
        foreach (Seat other in _seats)
            if (other != noticedBy) Report(other, HealthEvent.LinkLost, noticedBy.Health.Reason);
    }

    private void Report(Seat seat, HealthEvent what, string reason)
    {
        if (!seat.Health.Apply(what, reason)) return;
        seat.Statistics.State = seat.Health.State;
        seat.Statistics.Reason = seat.Health.Reason;
        _sink.Write(new DeviceStateInput(seat.Rising(_clock.Now), seat.Device.Index, seat.Health.State, seat.Health.Reason));
    }

    private static string Join(string? reason, string? others) => reason is null || others is null ? reason ?? others ?? "" : $"{reason} {others}";

    private static HealthEvent EventOf(ScanStatus status) => status switch
    {
        ScanStatus.Answered => HealthEvent.Answered,
        ScanStatus.LinkLost => HealthEvent.LinkLost,
        ScanStatus.Ended => HealthEvent.MissedTooOften,
        _ => HealthEvent.Missed,
    };

    private static TimeSpan Slot(IBusDevice device) => device.TalksUnasked ? TimeSpan.Zero : device.Options.Period;

    /// <summary>A device and what the bus knows of it.</summary>
    private sealed class Seat(IBusDevice device, Backoff retry)
    {
        private Timestamp _last;

        public IBusDevice Device => device;

        public Backoff Retry => retry;

        public IReadOnlyList<PlausibleRange?> Plausible { get; } = device.Options.Plausible;

        /// <summary>Whether it was asked since the connection was made.</summary>
        public bool Tried { get; set; }

        /// <summary>Whether its last poll was answered.</summary>
        public bool Answering { get; set; }

        /// <summary>Whether it will never say anything again.</summary>
        public bool Ended { get; set; }

        public DeviceHealth Health { get; } = new(MissesToDown);

        public DeviceStatistics Statistics { get; } = new(device.Options.Id, device.Index);

        public Timestamp Rising(Timestamp time)
        {
            _last = time > _last ? time : new Timestamp(_last.UtcTicks + 1);
            return _last;
        }
    }
}
