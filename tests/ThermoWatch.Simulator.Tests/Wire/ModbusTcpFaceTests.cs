using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Sockets;
using System.Text.RegularExpressions;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Simulator.Wire;
using ThermoWatch.Tests;

namespace ThermoWatch.Simulator.Tests.Wire;

public partial class ModbusTcpFaceTests
{
    private static readonly IPEndPoint FreePort = new(IPAddress.Loopback, 0);

    private static CancellationToken Patience => new CancellationTokenSource(TimeSpan.FromSeconds(10)).Token;

    [Fact]
    public async Task Two_requests_in_one_segment_get_two_answers()
    {
        var registers = new FixedRegisters();
        registers.Put(RegisterTable.Holding, 0, 0x00AA);
        registers.Put(RegisterTable.Holding, 1, 0x00BB);
        (byte[] requests, byte[] expected) = ModbusFrameTests.Frame("tcp_two_replies_one_segment");
        await using var face = ModbusTcpFace.Start(registers, FreePort);
        using Socket client = await ConnectAsync(face);
        await client.SendAsync(requests, Patience);
        Assert.Equal(expected, await ReceiveAsync(client, expected.Length));
    }

    [Fact]
    public async Task Request_that_arrives_byte_by_byte_is_answered()
    {
        var registers = new FixedRegisters();
        registers.Put(RegisterTable.Holding, 3, 5);
        registers.Put(RegisterTable.Holding, 4, 6);
        (byte[] request, byte[] expected) = ModbusFrameTests.Frame("tcp_fc03_2regs");
        await using var face = ModbusTcpFace.Start(registers, FreePort);
        using Socket client = await ConnectAsync(face);
        foreach (byte one in request)
        {
            await client.SendAsync(new[] { one }, Patience);
        }

        Assert.Equal(expected, await ReceiveAsync(client, expected.Length));
    }

    [Fact]
    public async Task Broken_stream_is_closed()
    {
        await using var face = ModbusTcpFace.Start(new FixedRegisters(), FreePort);
        using Socket client = await ConnectAsync(face);
        await client.SendAsync(ModbusFrameTests.Frame("tcp_bad_protocol_id").Response, Patience);
        Assert.Equal(0, await client.ReceiveAsync(new byte[1], Patience));
    }

    [Fact]
    public async Task Many_clients_are_served_at_once()
    {
        var registers = new FixedRegisters();
        registers.PutFrame([1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]);
        await using var face = ModbusTcpFace.Start(registers, FreePort);
        Socket[] clients = await Task.WhenAll(Enumerable.Range(0, 16).Select(_ => ConnectAsync(face)));
        foreach (Socket client in clients)
        {
            await client.SendAsync(new byte[] { 0, 1, 0, 0, 0, 6, 1, 4, 0, 22, 0, 2 }, Patience);
        }

        foreach (Socket client in clients)
        {
            Assert.Equal([0, 1, 0, 0, 0, 7, 1, 4, 4, 0x41, 0x40, 0, 0], await ReceiveAsync(client, 13)); // 12.0 = 0x41400000
            client.Dispose();
        }
    }

    [Theory]
    [InlineData(LineState.Refusing)]
    [InlineData(LineState.Garbled)]
    [InlineData(LineState.Cut)]
    public async Task Line_faults_are_seen_by_the_client(LineState state)
    {
        var registers = new FixedRegisters { Line = state };
        registers.Put(RegisterTable.Holding, 3, 5);
        registers.Put(RegisterTable.Holding, 4, 6);
        (byte[] request, byte[] healthy) = ModbusFrameTests.Frame("tcp_fc03_2regs");
        await using var face = ModbusTcpFace.Start(registers, FreePort);
        using Socket client = await ConnectAsync(face);
        await client.SendAsync(request, Patience);
        byte[] answer = new byte[64];
        int length;
        try
        {
            length = await client.ReceiveAsync(answer, Patience);
        }
        catch (SocketException)
        {
            length = 0; // a reset: the client had sent what nobody read
        }

        switch (state)
        {
            case LineState.Refusing:
                Assert.Equal([0, 1, 0, 0, 0, 3, 1, 0x83, 4], answer[..length]);
                break;
            case LineState.Garbled:
                Assert.Equal(healthy.Length, length);
                Assert.NotEqual(healthy, answer[..length]);
                break;
            default:
                Assert.Equal(0, length);
                break;
        }
    }

    [Fact]
    public async Task Silent_slave_answers_nothing_until_it_recovers()
    {
        var registers = new FixedRegisters { Line = LineState.Silent };
        registers.Put(RegisterTable.Holding, 3, 5);
        registers.Put(RegisterTable.Holding, 4, 6);
        (byte[] request, byte[] expected) = ModbusFrameTests.Frame("tcp_fc03_2regs");
        await using var face = ModbusTcpFace.Start(registers, FreePort);
        using Socket client = await ConnectAsync(face);
        await client.SendAsync(request, Patience);
        Assert.False(client.Poll(TimeSpan.FromMilliseconds(200), SelectMode.SelectRead));
        registers.Line = LineState.Healthy;
        await client.SendAsync(request, Patience);
        Assert.Equal(expected, await ReceiveAsync(client, expected.Length));
    }

    // mbpoll (libmodbus): a master we did not write reads the frame in every dress.
    [Fact]
    public async Task Independent_master_reads_what_the_instruments_say()
    {
        string mbpoll = Peers.Program("mbpoll", "mbpoll");
        var cell = new SimulatedCell(new SimulatorOptions { Seed = 9 });
        cell.AdvanceTo(TimeSpan.FromSeconds(200));
        InstrumentFrame frame = cell.Instruments;
        await using var face = ModbusTcpFace.Start(cell, FreePort, new FakeTimeProvider()); // time stands still
        double[] floats = await PollAsync(mbpoll, face.Port, "3:float -B", 0);
        double[] swapped = await PollAsync(mbpoll, face.Port, "4:float", RegisterMap.SingleStart(WordOrder.Cdab));
        double[] whole = await PollAsync(mbpoll, face.Port, "4:int -B", RegisterMap.Int32Start(WordOrder.Abcd));
        for (int i = 0; i < SimulatedChannels.Count; i++)
        {
            Assert.Equal(frame.Values[i], floats[i], 0.0005 + (1e-5 * Math.Abs(frame.Values[i]))); // printed to 6 digits
            Assert.Equal(floats[i], swapped[i]);
            Assert.Equal(frame.Values[i] * 1000.0, whole[i], 0.51);
        }
    }

    // The worked chain of reference/thermocouple/chain_cases.csv put on the wire, read back by mbpoll to the printed digits.
    [Fact]
    public async Task Fixed_registers_put_published_chains_on_the_wire()
    {
        string mbpoll = Peers.Program("mbpoll", "mbpoll");
        var registers = new FixedRegisters();
        await using var face = ModbusTcpFace.Start(registers, FreePort);
        foreach (string[] row in Reference.Rows("thermocouple/chain_cases.csv").Take(3))
        {
            float emf = (float)Reference.Number(row[0]), coldJunction = (float)Reference.Number(row[1]);
            registers.PutFrame([emf, 0, 0, 0, 0, 0, 0, 0, 0, 0, coldJunction, 1013.25f]);
            double[] read = await PollAsync(mbpoll, face.Port, "3:float -B", 0);
            Assert.Equal(emf, read[0], 1e-4);
            Assert.Equal(coldJunction, read[10], 1e-3);
        }
    }

    private static async Task<double[]> PollAsync(string mbpoll, int port, string type, int address)
    {
        string[] arguments = ["-m", "tcp", "-0", "-a", "1", "-r", Text(address), "-c", "12", "-1", "-q", "-p", Text(port), "-t", .. type.Split(' '), "127.0.0.1"];
        using Process process = Process.Start(new ProcessStartInfo(mbpoll, arguments) { RedirectStandardOutput = true, RedirectStandardError = true })!;
        string output = await process.StandardOutput.ReadToEndAsync(Patience);
        string errors = await process.StandardError.ReadToEndAsync(Patience);
        await process.WaitForExitAsync(Patience);
        Assert.True(process.ExitCode == 0, errors);
        double[] values = [.. ReadingLine().Matches(output).Select(m => Reference.Number(m.Groups[1].Value))];
        Assert.Equal(12, values.Length);
        return values;
    }

    private static string Text(int number) => number.ToString(CultureInfo.InvariantCulture);

    private static async Task<Socket> ConnectAsync(ModbusTcpFace face)
    {
        var client = new Socket(SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
        await client.ConnectAsync(IPAddress.Loopback, face.Port, Patience);
        return client;
    }

    private static async Task<byte[]> ReceiveAsync(Socket client, int length)
    {
        byte[] bytes = new byte[length];
        int held = 0;
        while (held < length)
        {
            int read = await client.ReceiveAsync(bytes.AsMemory(held), Patience);
            Assert.True(read > 0, $"connection ended after {held} of {length} bytes");
            held += read;
        }

        return bytes;
    }

    [GeneratedRegex(@"^\[\d+\]:\s+(\S+)", RegexOptions.Multiline)]
    private static partial Regex ReadingLine();
}
