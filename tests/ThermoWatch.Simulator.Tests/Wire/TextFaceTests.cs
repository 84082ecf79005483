using System.Globalization;
using System.Net;
using System.Net.Sockets;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Simulator.Faults;
using ThermoWatch.Simulator.Scenarios;
using ThermoWatch.Simulator.Wire;

namespace ThermoWatch.Simulator.Tests.Wire;

public class TextFaceTests
{
    private static readonly IPEndPoint FreePort = new(IPAddress.Loopback, 0);

    [Fact]
    public void Talker_lines_hold_the_frame_and_a_check_sum()
    {
        var cell = new SimulatedCell(new SimulatorOptions());
        cell.AdvanceTo(TimeSpan.FromSeconds(123.4));
        string csv = Ascii(TextLines.Talk(cell.Instruments, cell.InstrumentClock, TextDialect.Csv));
        string[] parts = csv.Split('*');
        Assert.Equal(parts[0].Aggregate(0, (sum, c) => sum ^ c).ToString("X2", CultureInfo.InvariantCulture) + "\r\n", parts[1]);
        string[] fields = parts[0].Split(',');
        Assert.Equal("123.4", fields[0]);
        for (int i = 0; i < SimulatedChannels.Count; i++)
        {
            Assert.Equal(cell.Instruments.Values[i], Reference.Number(fields[i + 1]), 0.0006);
        }

        string pairs = Ascii(TextLines.Talk(cell.Instruments, cell.InstrumentClock, TextDialect.KeyValue));
        Assert.StartsWith($"t=123.4 tc1={fields[1]} tc2=", pairs, StringComparison.Ordinal);
        Assert.Contains($" p={fields[12]}*", pairs, StringComparison.Ordinal);
    }

    // NMEA 0183 example sentence, a published use of the same check sum: XOR of the characters before the asterisk.
    [Fact]
    public void Check_sum_rule_agrees_with_a_published_sentence() =>
        Assert.Equal(0x47, "GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,".Aggregate(0, (sum, c) => sum ^ c));

    [Fact]
    public void Open_input_is_a_word_and_not_a_number()
    {
        var cell = new SimulatedCell(new SimulatorOptions { Scenario = "production" });
        cell.AdvanceTo(TimeSpan.FromSeconds(1));
        Assert.StartsWith("1.0,open,open,", Ascii(TextLines.Talk(cell.Instruments, cell.InstrumentClock, TextDialect.Csv)), StringComparison.Ordinal);
    }

    [Fact]
    public void Clock_step_moves_the_instruments_own_time_only()
    {
        var scenario = new Scenario { Name = "step", Runs = [new RunStretch(1) { Faults = [new PlannedFault(FaultKind.ClockStep, 20, Amount: -3600)] }] };
        var cell = new SimulatedCell(new SimulatorOptions(), scenario);
        cell.AdvanceTo(TimeSpan.FromSeconds(29)); // boards wait 10 s, so heating is at 19 s
        Assert.Equal(29, cell.InstrumentClock.TotalSeconds);
        cell.AdvanceTo(TimeSpan.FromSeconds(31));
        Assert.Equal(31 - 3600, cell.InstrumentClock.TotalSeconds);
        Assert.Equal(31, cell.MachineTime.TotalSeconds);
    }

    [Fact]
    public void Queries_are_answered_and_errors_remembered_until_asked_for()
    {
        var cell = new SimulatedCell(new SimulatorOptions());
        bool undefined = false;
        Assert.Equal(12, TextLines.Reply("read?", cell.Instruments, ref undefined)!.Split(',').Length);
        Assert.Equal(4, TextLines.Reply("*IDN?\r", cell.Instruments, ref undefined)!.Split(',').Length); // IEEE 488.2: four fields
        Assert.Null(TextLines.Reply("FETCH:ALL?", cell.Instruments, ref undefined));
        Assert.StartsWith("-113", TextLines.Reply("SYST:ERR?", cell.Instruments, ref undefined), StringComparison.Ordinal);
        Assert.StartsWith("0,", TextLines.Reply("SYST:ERR?", cell.Instruments, ref undefined), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Talker_says_a_line_for_each_sample_over_tcp()
    {
        var time = new FakeTimeProvider();
        await using var face = TextFace.Start(new LiveCell(new SimulatedCell(new SimulatorOptions()), time), FreePort, TextDialect.KeyValue, time);
        using var client = new TcpClient();
        await client.ConnectAsync(IPEndPoint.Parse(face.Name));
        using var reader = new StreamReader(client.GetStream());
        Assert.StartsWith("t=0.0 ", await reader.ReadLineAsync(Patience), StringComparison.Ordinal);
        for (int i = 1; i <= 3; i++)
        {
            time.Advance(TimeSpan.FromMilliseconds(100));
            Assert.StartsWith($"t=0.{i} ", await reader.ReadLineAsync(Patience), StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task Asker_gets_a_reply_for_each_query_however_it_is_cut()
    {
        var time = new FakeTimeProvider();
        var cell = new SimulatedCell(new SimulatorOptions());
        cell.AdvanceTo(TimeSpan.FromSeconds(50));
        await using var face = TextFace.Start(new LiveCell(cell, time), FreePort, TextDialect.Query, time);
        using var client = new TcpClient();
        await client.ConnectAsync(IPEndPoint.Parse(face.Name));
        using var reader = new StreamReader(client.GetStream());
        await client.GetStream().WriteAsync("*ID"u8.ToArray(), Patience);
        await client.GetStream().WriteAsync("N?\r\nREAD?\n"u8.ToArray(), Patience);
        Assert.StartsWith("ThermoWatch,", await reader.ReadLineAsync(Patience), StringComparison.Ordinal);
        string[] values = (await reader.ReadLineAsync(Patience))!.Split(',');
        Assert.Equal(cell.Instruments.Millivolts(0), Reference.Number(values[0]), 0.00006);
    }

    private static CancellationToken Patience => new CancellationTokenSource(TimeSpan.FromSeconds(10)).Token;

    private static string Ascii(byte[] bytes) => System.Text.Encoding.ASCII.GetString(bytes);
}
