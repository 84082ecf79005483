using CsCheck;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Tests.Links;
using static ThermoWatch.Acquisition.Tests.Modbus.RtuTests;

namespace ThermoWatch.Acquisition.Tests.Modbus;

/// <summary>The client on a virtual line, where each byte has its time.</summary>
public sealed class ModbusRtuClientTests
{
    private const double TimeoutMs = 200;
    private static readonly TimeSpan FrameGap = TimeSpan.FromMilliseconds(4);
    private readonly FakeTimeProvider _time = new();

    [Theory]
    [InlineData(1.2)]
    [InlineData(1.5)]
    [InlineData(1.9)]
    public void A_reply_that_is_late_is_never_taken_for_the_next_poll(double timeouts)
    {
        int poll = 0;
        (ModbusRtuClient client, VirtualLine line) = On(_ => [(poll == 3 ? timeouts * TimeoutMs : 20, Registers(poll++))]);
        List<string> results = [.. Enumerable.Range(0, 10).Select(_ => Read(client))];
        Assert.Equal(["Ok 0000", "Ok 0001", "Ok 0002", "TimedOut ", "Ok 0004", "Ok 0005", "Ok 0006", "Ok 0007", "Ok 0008", "Ok 0009"], results);
        Assert.Equal(1, client.Counters.Unmatched);
        Assert.Equal(10, line.Sent.Count);
    }

    [Fact]
    public void A_late_reply_of_another_unit_is_dropped_and_ours_is_waited_for()
    {
        (ModbusRtuClient client, VirtualLine line) = On(request => request[0] == 18 ? [(1.2 * TimeoutMs, WithCrc([18, 3, 2, 9, 9]))] : [(60, Registers(7))]);
        Assert.Equal(ExchangeStatus.TimedOut, client.Exchange(18, ModbusRequest.Read(ModbusTable.Holding, 0, 1), TimeSpan.FromMilliseconds(TimeoutMs)).Status);
        Assert.Equal("Ok 0007", Read(client)); // asked at once: only unit 18 has to wait
        Assert.Equal(0, (line.SentAt[1] - line.SentAt[0]).TotalMilliseconds - TimeoutMs);
        Assert.Equal(1, client.Counters.Unmatched);
    }

    [Fact]
    public void Noise_does_not_end_the_wait_for_a_late_reply()
    {
        int poll = 0;
        (ModbusRtuClient client, _) = On(_ => poll++ == 0 ? [(TimeoutMs + 5, [0x55, 0xAA]), (1.7 * TimeoutMs, Registers(1))] : [(20, Registers(2))]);
        Assert.Equal("TimedOut ", Read(client));
        Assert.Equal("Ok 0002", Read(client));
    }

    [Fact]
    public void Silence_between_frames_is_kept()
    {
        (ModbusRtuClient client, VirtualLine line) = On(_ => [(5, Registers(1))]);
        for (int i = 0; i < 3; i++) Read(client);
        Assert.All(line.SentAt.Zip(line.SentAt.Skip(1)), pair => Assert.Equal(9, (pair.Second - pair.First).TotalMilliseconds));
    }

    [Fact]
    public void Gaps_of_up_to_20_ms_between_any_bytes_are_borne() => Gen.Double[0, 20].Array[25].Sample(gaps =>
    {
        byte[] reply = WithCrc([17, 3, 20, .. Enumerable.Range(0, 20).Select(i => (byte)i)]);
        double at = 0;
        (ModbusRtuClient client, _) = On(_ => reply.Select((b, i) => (at += gaps[i], new[] { b })).ToList());
        return client.Exchange(17, ModbusRequest.Read(ModbusTable.Holding, 0, 10), TimeSpan.FromSeconds(1)).Status == ExchangeStatus.Ok;
    }, iter: 50, threads: 1);

    [Fact]
    public void A_reply_that_breaks_off_ends_at_the_deadline()
    {
        (ModbusRtuClient client, _) = On(_ => [(10, Registers(1)[..4])]);
        DateTimeOffset began = _time.GetUtcNow();
        Assert.Equal("Garbled ", Read(client));
        Assert.Equal(TimeoutMs, (_time.GetUtcNow() - began).TotalMilliseconds);
    }

    [Theory]
    [InlineData("110304008D008E", false)] // four bytes, though two were asked: the late answer of another request
    [InlineData("1203020001", false)] // unit 18
    [InlineData("1104020001", false)] // function 4
    [InlineData("11830A", true)] // a refusal is an answer
    public void A_reply_must_match_unit_function_and_length(string body, bool answered)
    {
        (ModbusRtuClient client, _) = On(_ => [(10, WithCrc(Convert.FromHexString(body)))]);
        Assert.Equal(answered ? "Refused " : "Garbled ", Read(client));
    }

    [Fact]
    public void Our_own_echo_is_stripped_and_counted()
    {
        (ModbusRtuClient client, _) = On(request => [(1, request), (10, Registers(7))]);
        Assert.Equal("Ok 0007", Read(client));
        Assert.Equal(1, client.Counters.Echoes);
    }

    [Fact]
    public void An_echo_in_single_bytes_is_stripped_too()
    {
        (ModbusRtuClient client, _) = On(request => [.. request.Select((b, i) => ((double)i, new[] { b })), (12, Registers(7))]);
        Assert.Equal("Ok 0007", Read(client));
        Assert.Equal(1, client.Counters.Echoes);
    }

    [Fact]
    public void Noise_before_a_poll_is_thrown_away()
    {
        (ModbusRtuClient client, VirtualLine line) = On(_ => [(10, Registers(7))]);
        line.Say(0, [0xFF, 0x00, 0x55]);
        Assert.Equal("Ok 0007", Read(client));
    }

    [Fact]
    public void A_line_on_which_somebody_talks_without_end_is_given_up()
    {
        (ModbusRtuClient client, VirtualLine line) = On(_ => []);
        Assert.Equal("TimedOut ", Read(client));
        for (int i = 1; i < 5000; i++) line.Say(2 * i, [0x55]);
        ModbusExchange exchange = client.Exchange(17, ModbusRequest.Read(ModbusTable.Holding, 0, 1), TimeSpan.FromMilliseconds(TimeoutMs));
        Assert.Equal(ExchangeStatus.Closed, exchange.Status);
        Assert.Contains("second master", exchange.Reason, StringComparison.Ordinal);
        Assert.False(client.IsOpen);
    }

    [Fact]
    public void The_request_of_another_master_is_told_in_plain_words_and_forgotten_after_a_while()
    {
        (ModbusRtuClient client, VirtualLine line) = On(_ => [(10, Registers(7))]);
        Assert.Equal("Ok 0007", Read(client));
        Assert.Null(client.Disturbance);
        line.Say(0, WithCrc([5, 3, 0, 100, 0, 2])); // read holding 100 and 101 of unit 5: nobody here asks that
        Assert.Equal("Ok 0007", Read(client));
        Assert.Contains("Another master talks on line: it asks unit 5 with function 03", client.Disturbance, StringComparison.Ordinal);
        Assert.Equal(1, client.Counters.Foreign);
        _time.Advance(TimeSpan.FromSeconds(11));
        Assert.Null(client.Disturbance);
    }

    [Fact]
    public void The_answer_of_a_unit_that_nobody_asked_shows_another_master()
    {
        (ModbusRtuClient client, VirtualLine line) = On(_ => [(10, Registers(7))]);
        line.Say(0, WithCrc([9, 3, 2, 0, 1]));
        Assert.Equal("Ok 0007", Read(client));
        Assert.Contains("unit 9 answers", client.Disturbance, StringComparison.Ordinal);
    }

    [Fact]
    public void A_request_that_collides_with_our_answer_shows_another_master_too()
    {
        (ModbusRtuClient client, _) = On(_ => [(10, WithCrc([5, 4, 0, 0, 0, 8]))]);
        ModbusExchange exchange = client.Exchange(17, ModbusRequest.Read(ModbusTable.Holding, 0, 1), TimeSpan.FromMilliseconds(TimeoutMs));
        Assert.Equal(ExchangeStatus.Garbled, exchange.Status);
        Assert.Contains("frame of another master", exchange.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void Our_own_late_answers_and_echoes_show_nobody()
    {
        int poll = 0;
        (ModbusRtuClient client, _) = On(request => [(1, request), (poll++ % 3 == 1 ? 1.3 * TimeoutMs : 10, Registers(7))]);
        for (int i = 0; i < 12; i++) Read(client);
        Assert.Null(client.Disturbance);
        Assert.Equal(0, client.Counters.Foreign);
    }

    /// <summary>Noise has a good check once in 65 536 places, and must look like a request besides.</summary>
    [Fact]
    public void Noise_is_not_taken_for_another_master()
    {
        var random = new Random(5);
        (ModbusRtuClient client, VirtualLine line) = On(_ => [(10, Registers(7))]);
        byte[] noise = new byte[40];
        for (int i = 0; i < 2000; i++)
        {
            random.NextBytes(noise);
            line.Say(0, [.. noise]);
            Read(client);
        }

        Assert.Equal(0, client.Counters.Foreign);
    }

    [Fact]
    public void A_write_is_refused_unless_the_unit_may_be_written()
    {
        var line = new VirtualLine(_time, request => [(10, request)]); // the confirmation of function 06 repeats the request
        var client = new ModbusRtuClient(line, _time, FrameGap, mayWrite: unit => unit == 2);
        client.Open(TimeSpan.Zero);
        ModbusExchange refused = client.Exchange(1, ModbusRequest.WriteRegister(1, 3), TimeSpan.FromSeconds(1));
        Assert.Equal(ExchangeStatus.WritesOff, refused.Status);
        Assert.Contains("set allowWrites", refused.Reason, StringComparison.Ordinal);
        Assert.Empty(line.Sent);
        Assert.Equal(ExchangeStatus.Ok, client.Exchange(2, ModbusRequest.WriteRegister(1, 3), TimeSpan.FromSeconds(1)).Status);
    }

    [Fact]
    public void A_broadcast_is_not_awaited()
    {
        var line = new VirtualLine(_time, _ => []);
        var client = new ModbusRtuClient(line, _time, FrameGap, mayWrite: _ => true);
        client.Open(TimeSpan.Zero);
        Assert.Equal(ExchangeStatus.Ok, client.Exchange(0, ModbusRequest.WriteRegister(1, 3), TimeSpan.FromSeconds(1)).Status);
        Assert.Equal("00060001000399DA", Convert.ToHexString(line.Sent[0])); // frame rtu_broadcast_fc06
        Assert.Equal(0, client.Counters.TimeOuts);
    }

    private static byte[] Registers(int value) => WithCrc([17, 3, 2, 0, (byte)value]);

    private static string Read(ModbusRtuClient client)
    {
        ModbusExchange exchange = client.Exchange(17, ModbusRequest.Read(ModbusTable.Holding, 0, 1), TimeSpan.FromMilliseconds(TimeoutMs));
        return $"{exchange.Status} {Convert.ToHexString(exchange.Data)}";
    }

    private (ModbusRtuClient Client, VirtualLine Line) On(Func<byte[], IEnumerable<(double, byte[])>> script)
    {
        var line = new VirtualLine(_time, script);
        var client = new ModbusRtuClient(line, _time, FrameGap);
        client.Open(TimeSpan.Zero);
        return (client, line);
    }
}
