using System.Diagnostics;
using System.Text;
using ThermoWatch.Simulator.Wire;
using ThermoWatch.Tests;

namespace ThermoWatch.Simulator.Tests.Wire;

public class SerialFaceTests
{
    // mbpoll (libmodbus) opens the other end of a pseudo-terminal as if it were a port.
    [Fact]
    public async Task Independent_master_reads_a_slave_on_a_pseudo_terminal()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "pseudo-terminals need Linux");
        string mbpoll = Peers.Program("mbpoll", "mbpoll");
        var registers = new FixedRegisters();
        registers.PutFrame([1.5f, 2.5f, -3.25f, 4, 5, 6, 7, 8, 9, 10, 24.5f, 1010.25f]);
        await using var face = ModbusRtuFace.Start(registers, SerialLine.NewPseudoTerminal());
        string output = await RunAsync(mbpoll, "-m", "rtu", "-b", "19200", "-P", "even", "-a", "1", "-0", "-r", "0", "-c", "12", "-t", "3:float", "-B", "-1", "-q", face.Name);
        Assert.Matches(@"\[0\]:\s+1\.5\s", output);
        Assert.Matches(@"\[4\]:\s+-3\.25\s", output);
        Assert.Matches(@"\[22\]:\s+1010\.25\s", output);
    }

    [Fact]
    public async Task Function_of_unknown_length_is_refused_after_silence_and_noise_is_not_answered()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "pseudo-terminals need Linux");
        using SerialLine master = SerialLine.NewPseudoTerminal();
        var registers = new FixedRegisters();
        await using var face = ModbusRtuFace.Start(registers, SerialLine.Open(master.Name, 19200, LineParity.Even), unit: 17);

        // Write single register (06) of a public tutorial, unit 17; this slave only reads, so exception 01.
        master.Write(Convert.FromHexString("1106000100039A9B"));
        byte[] refused = Receive(master, 5);
        Assert.Equal([0x11, 0x86, 0x01], refused[..3]);
        Assert.True(RtuFraming.IsWhole(refused));

        master.Write([0xFF, 0x00, 0x55]);
        Assert.Equal(0, master.Read(new byte[16], 200));
        registers.Put(RegisterTable.Holding, 0x6B, 0xAE41);
        registers.Put(RegisterTable.Holding, 0x6C, 0x5652);
        registers.Put(RegisterTable.Holding, 0x6D, 0x4340);
        master.Write(Convert.FromHexString("1103006B00037687"));
        Assert.Equal("110306AE415652434049AD", Convert.ToHexString(Receive(master, 11)));
    }

    [Fact]
    public async Task Talker_on_a_serial_line_says_each_sample_once()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "pseudo-terminals need Linux");
        using SerialLine host = SerialLine.NewPseudoTerminal();
        var cell = new LiveCell(new SimulatedCell(new SimulatorOptions()), TimeProvider.System, speed: 10);
        await using var face = TextFace.Start(cell, SerialLine.Open(host.Name, 115200, LineParity.None), TextDialect.Csv);
        var text = new StringBuilder();
        byte[] buffer = new byte[1024];
        long began = Stopwatch.GetTimestamp();
        while (text.ToString().Count(c => c == '\n') < 5 && Stopwatch.GetElapsedTime(began).TotalSeconds < 10)
        {
            text.Append(Encoding.ASCII.GetString(buffer, 0, host.Read(buffer, 200)));
        }

        string[] lines = text.ToString().Split("\r\n")[..5];
        double[] times = [.. lines.Select(l => Reference.Number(l.Split(',')[0]))];
        Assert.Equal(times.Order(), times);
        Assert.Equal(5, times.Distinct().Count());
    }

    [Fact]
    public void Port_that_is_not_there_is_said_so()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "serial ports here need Linux");
        Assert.Contains("/dev/no-such-port", Assert.Throws<IOException>(() => SerialLine.Open("/dev/no-such-port", 9600, LineParity.Even)).Message, StringComparison.Ordinal);
        Assert.Contains("baud", Assert.Throws<IOException>(() => SerialLine.Open("/dev/no-such-port", 9601, LineParity.Even)).Message, StringComparison.Ordinal);
    }

    private static byte[] Receive(SerialLine line, int length)
    {
        byte[] bytes = new byte[length];
        int held = 0;
        long began = Stopwatch.GetTimestamp();
        while (held < length && Stopwatch.GetElapsedTime(began).TotalSeconds < 10)
        {
            held += line.Read(bytes.AsSpan(held), 200);
        }

        return bytes[..held];
    }

    private static async Task<string> RunAsync(string program, params string[] arguments)
    {
        using Process process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardOutput = true, RedirectStandardError = true })!;
        var patience = new CancellationTokenSource(TimeSpan.FromSeconds(20)).Token;
        string output = await process.StandardOutput.ReadToEndAsync(patience);
        string errors = await process.StandardError.ReadToEndAsync(patience);
        await process.WaitForExitAsync(patience);
        Assert.True(process.ExitCode == 0, errors + output);
        return output;
    }
}
