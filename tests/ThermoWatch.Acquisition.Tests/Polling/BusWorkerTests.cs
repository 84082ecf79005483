using System.Globalization;
using System.Threading.Channels;
using CsCheck;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Acquisition.Links;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Polling;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Tests.Polling;

/// <summary>The bus's loop on a fake clock, with devices that do what the test says.</summary>
public sealed class BusWorkerTests
{
    [Fact]
    public void A_device_is_polled_once_a_period_and_its_times_rise()
    {
        using var bus = new FakeBus(new FakeDevice(0, 100));
        bus.RunFor(TimeSpan.FromSeconds(2));
        Timestamp[] times = [.. bus.Inputs.OfType<ScanInput>().Select(s => s.Time)];
        Assert.InRange(times.Length, 20, 21);
        Assert.All(times.Skip(1).Zip(times.Skip(2)), pair => Assert.Equal(TimeSpan.FromMilliseconds(100), pair.Second - pair.First));
        Assert.Equal([DeviceState.Connecting, DeviceState.Up], bus.States(0));
    }

    [Fact]
    public void One_missed_answer_is_one_bad_scan_and_silence_is_none()
    {
        var device = new FakeDevice(0, 100) { Silent = poll => poll is >= 5 and < 15 };
        using var bus = new FakeBus(device);
        bus.RunFor(TimeSpan.FromSeconds(40));
        Assert.Single(bus.Inputs.OfType<ScanInput>(), s => s.Scan.Qualities[0] == SignalQuality.Bad(QualityReason.NoCommunication));
        Assert.Equal([DeviceState.Connecting, DeviceState.Up, DeviceState.Suspect, DeviceState.Down, DeviceState.Up], bus.States(0));
        Assert.All(bus.Inputs.OfType<DeviceStateInput>().Where(s => s.State == DeviceState.Down), s => Assert.NotEmpty(s.Reason));
    }

    [Fact]
    public void A_device_that_never_answers_is_told_of_once_and_asked_ever_more_rarely()
    {
        var device = new FakeDevice(0, 100) { Silent = _ => true };
        using var bus = new FakeBus(device);
        bus.RunFor(TimeSpan.FromMinutes(10));
        Assert.Equal([DeviceState.Connecting, DeviceState.Suspect, DeviceState.Down], bus.States(0));
        Assert.Empty(bus.Inputs.OfType<ScanInput>());
        Assert.InRange(device.Polls, 600 / 5, 600 / 2.5 + 20); // every 2.5 to 5 s once the pauses have grown
    }

    [Fact]
    public void Three_dead_units_of_eight_leave_the_others_their_rate()
    {
        FakeDevice[] devices = [.. Enumerable.Range(0, 8).Select(i => new FakeDevice(i, 500)
        {
            Silent = _ => i < 3,
            Takes = _ => TimeSpan.FromMilliseconds(i < 3 ? 300 : 20),
        })];
        using var bus = new FakeBus(devices);
        bus.RunFor(TimeSpan.FromMinutes(10));
        Assert.All(devices[3..], d => Assert.InRange(d.Answered, 0.95 * 1200, 1201));

        int back = bus.Inputs.Count;
        devices[0].Silent = _ => false;
        bus.RunFor(TimeSpan.FromSeconds(35));
        Assert.Contains(bus.Inputs.Skip(back), s => s is DeviceStateInput { DeviceIndex: 0, State: DeviceState.Up });
    }

    [Fact]
    public void A_dead_unit_asked_first_does_not_keep_the_others_away_after_a_new_connection()
    {
        bool allSilent = true;
        FakeDevice[] devices = [new(0, 100) { Silent = _ => true }, new(1, 100) { Silent = _ => allSilent }];
        using var bus = new FakeBus(devices);
        bus.RunFor(TimeSpan.FromSeconds(60));
        allSilent = false;
        bus.RunFor(TimeSpan.FromSeconds(10));
        Assert.Equal(DeviceState.Up, bus.States(1)[^1]);
    }

    [Fact]
    public void A_refused_connection_is_told_once_and_found_again_within_the_cap()
    {
        var device = new FakeDevice(0, 100);
        using var bus = new FakeBus(device) { Refuse = true };
        bus.RunFor(TimeSpan.FromMinutes(5));
        Assert.Equal([DeviceState.Connecting, DeviceState.Down], bus.States(0));
        bus.Refuse = false;
        bus.RunFor(TimeSpan.FromSeconds(5.2));
        Assert.Equal(DeviceState.Up, bus.States(0)[^1]);
    }

    [Fact]
    public void A_poll_that_overruns_is_late_and_not_made_up_for()
    {
        // 250 ms every other time: of three slots one passes unused, one is used late, one in time.
        var device = new FakeDevice(0, 100) { Takes = poll => TimeSpan.FromMilliseconds(poll % 2 == 0 ? 250 : 10) };
        using var bus = new FakeBus(device);
        bus.RunFor(TimeSpan.FromSeconds(30));
        DeviceStatistics statistics = bus.Worker.Statistics[0];
        Assert.InRange(statistics.Polls, 198, 202);
        Assert.InRange(statistics.Late, 98, 102);
    }

    [Theory]
    [InlineData(3600)]
    [InlineData(-3600)]
    [InlineData(-0.15)]
    public void A_step_of_the_wall_clock_costs_no_poll_and_no_order(double seconds)
    {
        var device = new FakeDevice(0, 100);
        using var bus = new FakeBus(device);
        bus.RunFor(TimeSpan.FromSeconds(1));
        bus.StepWallClock(TimeSpan.FromSeconds(seconds));
        bus.RunFor(TimeSpan.FromSeconds(1));
        Timestamp[] times = [.. bus.Inputs.OfType<ScanInput>().Select(s => s.Time)];
        Assert.InRange(times.Length, 20, 21);
        Assert.All(times.Skip(1).Zip(times.Skip(2)), pair => Assert.Equal(TimeSpan.FromMilliseconds(100), pair.Second - pair.First));
        Assert.Equal([DeviceState.Connecting, DeviceState.Up], bus.States(0));
    }

    [Fact]
    public void Another_master_makes_answering_devices_suspect_for_as_long_as_it_is_heard()
    {
        using var bus = new FakeBus(new FakeDevice(0, 100));
        bus.RunFor(TimeSpan.FromSeconds(1));
        bus.Disturbance = "Another master talks.";
        bus.RunFor(TimeSpan.FromSeconds(5));
        bus.Disturbance = null;
        bus.RunFor(TimeSpan.FromSeconds(1));
        Assert.Equal([DeviceState.Connecting, DeviceState.Up, DeviceState.Suspect, DeviceState.Up], bus.States(0));
        Assert.Equal("Another master talks.", bus.Inputs.OfType<DeviceStateInput>().Single(s => s.State == DeviceState.Suspect).Reason);
        Assert.All(bus.Inputs.OfType<ScanInput>(), s => Assert.Equal(SignalQuality.Good, s.Scan.Qualities[0]));
    }

    [Fact]
    public void A_number_outside_its_plausible_range_is_kept_and_marked_bad()
    {
        using var bus = new FakeBus(new FakeDevice(0, 100) { Plausible = new(5, 10) }, new FakeDevice(1, 100) { Plausible = new(0, 1) });
        bus.RunFor(TimeSpan.FromSeconds(1));
        Assert.All(bus.Inputs.OfType<ScanInput>(), s => Assert.Equal(
            (1.0, s.Scan.DeviceIndex == 0 ? SignalQuality.Bad(QualityReason.OutOfRange) : SignalQuality.Good), (s.Scan.Values[0], s.Scan.Qualities[0])));
        Assert.Equal([DeviceState.Connecting, DeviceState.Up], bus.States(0)); // the line is fine
    }

    [Fact]
    public async Task Who_borrows_the_line_gets_the_time_until_the_next_poll_and_delays_none()
    {
        using var bus = new FakeBus(new FakeDevice(0, 100) { Takes = _ => TimeSpan.FromMilliseconds(30) });
        bus.RunFor(TimeSpan.FromSeconds(1));
        Task<TimeSpan> visit = Task.Run(() =>
        {
            using LineLoan loan = bus.Worker.Loans.Borrow(TimeSpan.FromMilliseconds(500), TimeSpan.FromMilliseconds(20), default);
            bus.Advance(loan.Allowance); // as a silent unit would
            return loan.Allowance;
        });
        while (!visit.IsCompleted) bus.RunFor(TimeSpan.FromMilliseconds(100));
        Assert.InRange((await visit).TotalMilliseconds, 60, 68);
        bus.RunFor(TimeSpan.FromSeconds(1));
        Timestamp[] times = [.. bus.Inputs.OfType<ScanInput>().Select(s => s.Time)];
        Assert.All(times.Skip(1).Zip(times.Skip(2)), pair => Assert.Equal(TimeSpan.FromMilliseconds(100), pair.Second - pair.First));
        Assert.Equal(0, bus.Worker.Statistics[0].Late);
    }

    [Fact]
    public async Task A_line_without_room_is_not_lent_and_says_why()
    {
        using var bus = new FakeBus(new FakeDevice(0, 100) { Takes = _ => TimeSpan.FromMilliseconds(95) });
        bus.RunFor(TimeSpan.FromSeconds(1));
        Task<string?> visit = Task.Run(() => bus.Worker.Loans.Borrow(TimeSpan.FromMilliseconds(500), TimeSpan.FromMilliseconds(20), default).Refusal);
        while (!visit.IsCompleted) bus.RunFor(TimeSpan.FromSeconds(1));
        Assert.Contains("leave no 20 ms free", await visit, StringComparison.Ordinal);
        Assert.Equal(0, bus.Worker.Statistics[0].Late);
    }

    [Fact]
    public async Task A_line_that_is_away_is_not_lent_and_the_reason_is_the_device_s()
    {
        using var bus = new FakeBus(new FakeDevice(0, 100)) { Refuse = true };
        bus.RunFor(TimeSpan.FromSeconds(1));
        Task<string?> visit = Task.Run(() => bus.Worker.Loans.Borrow(TimeSpan.Zero, TimeSpan.Zero, default).Refusal);
        while (!visit.IsCompleted) bus.RunFor(TimeSpan.FromSeconds(1));
        Assert.Equal("It refuses the connection.", await visit);
    }

    [Fact]
    public async Task Waiting_for_a_line_ends_with_its_token()
    {
        using var bus = new FakeBus(new FakeDevice(0, 100));
        using var stop = new CancellationTokenSource();
        Task<string?> visit = Task.Run(() => bus.Worker.Loans.Borrow(TimeSpan.Zero, TimeSpan.FromHours(1), stop.Token).Refusal);
        await stop.CancelAsync();
        Assert.Equal("stopped", await visit);
        bus.RunFor(TimeSpan.FromSeconds(1)); // the bus passes it over
        Assert.Equal(DeviceState.Up, bus.States(0)[^1]);
    }

    [Fact]
    public void A_full_queue_loses_scans_that_are_counted_marked_and_told_and_keeps_the_state()
    {
        var queue = Channel.CreateBounded<EngineInput>(4);
        var sink = new InputSink(queue.Writer);
        for (int i = 0; i < 10; i++) Assert.Equal(i < 4, sink.Write(At(i)));
        sink.Write(new DeviceStateInput(new Timestamp(20), 0, DeviceState.Suspect, "a"));
        sink.Write(new DeviceStateInput(new Timestamp(21), 0, DeviceState.Down, "b"));
        Assert.Equal(6, sink.Lost);
        while (queue.Reader.TryRead(out _)) { /* the loop has caught up */ }
        Assert.True(sink.Write(At(30)));
        List<EngineInput> told = [];
        while (queue.Reader.TryRead(out EngineInput? input)) told.Add(input);
        var mark = Assert.IsType<ScanInput>(told[0]);
        Assert.Equal((4, SignalQuality.Bad(QualityReason.NoReading)), (mark.Time.UtcTicks, mark.Scan.Qualities[0])); // the first that was lost
        var loss = Assert.IsType<DeviceStateInput>(told[1]);
        Assert.Equal((DeviceState.Suspect, 9), (loss.State, loss.Time.UtcTicks));
        Assert.Contains("6 readings", loss.Reason, StringComparison.Ordinal);
        Assert.Equal(DeviceState.Down, Assert.IsType<DeviceStateInput>(told[2]).State);
        Assert.Equal(30, Assert.IsType<ScanInput>(told[3]).Time.UtcTicks);
        Assert.Equal(4, told.Count);
        Assert.Equal(told.Select(t => t.Time).Order(), told.Select(t => t.Time));
    }

    /// <summary>However the loop reads, what comes out is every scan or a mark of its loss, in order, and the newest state last.</summary>
    [Fact]
    public void Nothing_is_lost_in_silence() => Gen.Select(Gen.Int[1, 6], Gen.Int[0, 5].Array[60]).Sample((room, reads) =>
    {
        var queue = Channel.CreateBounded<EngineInput>(room);
        var sink = new InputSink(queue.Writer);
        List<EngineInput> got = [];
        long written = 0;
        for (int i = 0; i < reads.Length; i++)
        {
            if (i % 7 == 3) sink.Write(new DeviceStateInput(new Timestamp(10 * i), 0, DeviceState.Up, ""));
            else if (sink.Write(At((10 * i) + 1))) written++;
            for (int read = 0; read < reads[i] && queue.Reader.TryRead(out EngineInput? input); read++) got.Add(input);
        }

        for (int i = 0; i < 20; i++)
        {
            while (queue.Reader.TryRead(out EngineInput? input)) got.Add(input);
            sink.Write(new DeviceStateInput(new Timestamp(10_000 + i), 0, DeviceState.Up, "")); // the loop has caught up for good
        }

        while (queue.Reader.TryRead(out EngineInput? input)) got.Add(input);
        long told = got.OfType<DeviceStateInput>().Where(s => s.State == DeviceState.Suspect).Sum(s => long.Parse(s.Reason.Split(' ')[0], CultureInfo.InvariantCulture));
        Assert.Equal(sink.Lost, told);
        Assert.Equal(written, got.OfType<ScanInput>().Count(s => s.Scan.Qualities[0] == SignalQuality.Good));
        Assert.Equal(DeviceState.Up, got.OfType<DeviceStateInput>().Last().State);
        long[] scans = [.. got.OfType<ScanInput>().Select(s => s.Time.UtcTicks)];
        Assert.Equal(scans.Order(), scans);
    }, iter: 500, threads: 1);

    private static ScanInput At(long ticks) => new(new RawScan(0, new Timestamp(ticks), [1], [SignalQuality.Good]));

    private sealed class FakeDevice(int index, int periodMs) : IBusDevice
    {
        private readonly ModbusTcpDeviceOptions _options = new()
        {
            Id = $"d{index}",
            Host = "192.0.2.1",
            Period = TimeSpan.FromMilliseconds(periodMs),
            Points = [new ModbusPoint { Id = "p", Address = 0 }],
        };

        public PlausibleRange? Plausible { get; init; }

        public Func<int, bool> Silent { get; set; } = _ => false;

        public Func<int, TimeSpan> Takes { get; init; } = _ => TimeSpan.Zero;

        public FakeTimeProvider? Time { get; set; }

        public int Polls { get; private set; }

        public int Answered { get; private set; }

        public int Index => index;

        public DeviceOptions Options => _options with { Points = [_options.Points[0] with { Plausible = Plausible }] };

        public ScanResult Scan()
        {
            long sent = Time!.GetTimestamp();
            Time.Advance(Takes(Polls));
            bool silent = Silent(Polls++);
            if (!silent) Answered++;
            return silent
                ? new(ScanStatus.Silent, [double.NaN], [SignalQuality.Bad(QualityReason.NoCommunication)], sent, Time.GetTimestamp(), "It does not answer.")
                : new(ScanStatus.Answered, [1], [SignalQuality.Good], sent, Time.GetTimestamp(), null);
        }
    }

    /// <summary>A connection, and a clock that the worker's own thread moves when it waits: nothing runs beside it.</summary>
    private sealed class FakeBus : IConnection
    {
        private static readonly TimeSpan Patience = TimeSpan.FromSeconds(20);
        private readonly SteppedTime _time = new();
        private readonly Channel<EngineInput> _queue = Channel.CreateUnbounded<EngineInput>();
        private readonly SemaphoreSlim _go = new(0), _reached = new(0);
        private readonly CancellationTokenSource _stop = new();
        private readonly Task _run;
        private TimeSpan _end;

        public FakeBus(params FakeDevice[] devices)
        {
            foreach (FakeDevice device in devices) device.Time = _time;
            Worker = new BusWorker(this, devices, new InputSink(_queue.Writer), new AnchoredClock(_time), _time, new Random(1)) { Waiting = Wait };
            _run = Task.Factory.StartNew(
                () =>
                {
                    _go.Wait(Patience);
                    Worker.Run(_stop.Token);
                },
                TaskCreationOptions.LongRunning);
        }

        public BusWorker Worker { get; }

        public List<EngineInput> Inputs { get; } = [];

        public bool Refuse { get; set; }

        public string? Disturbance { get; set; }

        public string Name => "bench";

        public bool IsOpen { get; private set; }

        public DeviceState[] States(int device) => [.. Inputs.OfType<DeviceStateInput>().Where(s => s.DeviceIndex == device).Select(s => s.State)];

        public void Advance(TimeSpan by) => _time.Advance(by);

        public void StepWallClock(TimeSpan by) => _time.Step += by;

        public void RunFor(TimeSpan span)
        {
            _end += span;
            _go.Release();
            Assert.True(_reached.Wait(Patience), "the worker neither waits nor ends");
            while (_queue.Reader.TryRead(out EngineInput? input)) Inputs.Add(input);
        }

        public LinkResult Open(TimeSpan timeout)
        {
            IsOpen = !Refuse;
            return Refuse ? LinkResult.CannotOpen("It refuses the connection.") : LinkResult.Done();
        }

        public void Close() => IsOpen = false;

        public void Abort() => IsOpen = false;

        public void Dispose()
        {
            if (_stop.IsCancellationRequested) return; // the worker disposes of its connection, which is this
            _stop.Cancel();
            _go.Release();
            Assert.True(_run.Wait(Patience), "the worker does not stop");
        }

        private void Wait(TimeSpan left)
        {
            TimeSpan until = _time.Elapsed + left;
            while (until > _end && !_stop.IsCancellationRequested)
            {
                _reached.Release();
                _go.Wait(Patience);
            }

            _time.Advance(left);
        }
    }

    /// <summary>A fake clock whose wall time can be stepped apart from its monotonic time.</summary>
    private sealed class SteppedTime() : FakeTimeProvider(Begin)
    {
        private static readonly DateTimeOffset Begin = new(2026, 3, 1, 8, 0, 0, TimeSpan.Zero);

        public TimeSpan Step { get; set; }

        public TimeSpan Elapsed => base.GetUtcNow() - Begin;

        public override long TimestampFrequency => TimeSpan.TicksPerSecond;

        public override DateTimeOffset GetUtcNow() => base.GetUtcNow() + Step;

        public override long GetTimestamp() => Elapsed.Ticks;
    }
}
