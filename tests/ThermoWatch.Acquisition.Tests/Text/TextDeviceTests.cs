using System.Text;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Acquisition.Polling;
using ThermoWatch.Acquisition.Tests.Links;
using ThermoWatch.Acquisition.Text;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Tests.Text;

/// <summary>Talkers and askers on a virtual line.</summary>
public sealed class TextDeviceTests
{
    private readonly FakeTimeProvider _time = new();

    [Fact]
    public void The_rest_of_a_line_that_began_before_we_listened_is_dropped()
    {
        (TextDevice device, VirtualLine line) = On(query: null, _ => []);
        line.Say(1, "5.25,2\r\n"u8.ToArray()); // was 45.25,2
        line.Say(2, "46,2\r\n47"u8.ToArray());
        line.Say(3, ",2\r\n"u8.ToArray());
        Assert.Equal(46, device.Scan().Values[0]);
        Assert.Equal(47, device.Scan().Values[0]);
        Assert.Equal(ScanStatus.Silent, device.Scan().Status);
    }

    [Fact]
    public void A_garbled_line_is_counted_and_shown_and_no_half_of_it_is_used()
    {
        (TextDevice device, VirtualLine line) = On(query: null, _ => []);
        line.Say(1, Encoding.Latin1.GetBytes("\n1,2\n7,\u00ff\n3,4\n"));
        Assert.Equal(ScanStatus.Answered, device.Scan().Status);
        ScanResult garbled = device.Scan();
        Assert.Equal(ScanStatus.Garbled, garbled.Status);
        Assert.All(garbled.Qualities, q => Assert.Equal(SignalQuality.Bad(QualityReason.Garbled), q));
        Assert.Contains("7,\\xFF", garbled.Reason, StringComparison.Ordinal);
        Assert.Equal(1, device.Garbled);
        Assert.Equal([3, 4], device.Scan().Values);
    }

    [Fact]
    public void A_line_without_end_is_given_up_and_the_next_whole_line_is_read()
    {
        (TextDevice device, VirtualLine line) = On(query: null, _ => []);
        line.Say(1, [(byte)'\n', .. Enumerable.Repeat((byte)'8', 5000), .. "\n1,2\n"u8]);
        ScanResult scan = device.Scan();
        while (scan.Status == ScanStatus.Garbled) scan = device.Scan();
        Assert.Equal([1, 2], scan.Values);
    }

    [Fact]
    public void A_question_gets_its_answer_and_an_echo_is_skipped()
    {
        (TextDevice device, VirtualLine line) = On("MEAS?", request => [(1, request), (5, "1,2\r\n"u8.ToArray())]);
        Assert.Equal([1, 2], device.Scan().Values);
        Assert.Equal("MEAS?\n", Encoding.ASCII.GetString(line.Sent[0]));
    }

    [Fact]
    public void A_late_answer_is_never_taken_for_the_next()
    {
        int asked = 0;
        (TextDevice device, _) = On("MEAS?", _ => [(++asked == 2 ? 750 : 5, Encoding.ASCII.GetBytes($"{asked},0\n"))]);
        List<string> results = [.. Enumerable.Range(0, 5).Select(_ => device.Scan()).Select(s => $"{s.Status} {s.Values[0]}")];
        Assert.Equal(["Answered 1", "Silent NaN", "Answered 3", "Answered 4", "Answered 5"], results);
    }

    private (TextDevice Device, VirtualLine Line) On(string? query, Func<byte[], IEnumerable<(double, byte[])>> script)
    {
        var line = new VirtualLine(_time, script);
        line.Open(TimeSpan.Zero);
        var options = new TextDeviceOptions
        {
            Id = "t",
            Host = "192.0.2.1",
            Port = 4001,
            Query = query,
            Format = new TextFormat { FieldCount = 2 },
            Points = [new TextPoint { Id = "a", Field = "0" }, new TextPoint { Id = "b", Field = "1" }],
        };
        return (new TextDevice(0, options, line, _time), line);
    }
}
