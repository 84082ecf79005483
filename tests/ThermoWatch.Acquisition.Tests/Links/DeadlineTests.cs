using System.Runtime.Versioning;
using ThermoWatch.Acquisition.Links;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Serial;
using ThermoWatch.Acquisition.Tests.Peers;

namespace ThermoWatch.Acquisition.Tests.Links;

/// <summary>Whatever carries the bytes: an exchange with a silent peer ends at its time-out, and leaves no thread behind.</summary>
[Collection(LongRuns.Alone)]
public sealed class DeadlineTests
{
    private static readonly TimeSpan Timeout = TimeSpan.FromMilliseconds(5);

    [Theory]
    [SupportedOSPlatform("linux")]
    [InlineData(SerialDriver.Native)]
    [InlineData(SerialDriver.Portable)]
    public void A_silent_line_ends_every_exchange_at_its_deadline(SerialDriver driver)
    {
        using PtyPair line = PtyPair.Create();
        var settings = new SerialSettings { Port = line.Ours, Baud = 115200, Parity = SerialParity.None, Driver = driver };
        using var client = new ModbusRtuClient(SerialLinks.Create(settings, TimeProvider.System), TimeProvider.System, settings.FrameGap);
        Silent(client);
    }

    [Fact]
    public void A_silent_socket_ends_every_exchange_at_its_deadline()
    {
        using var peer = new ScriptedPeer((_, _, _) => Task.CompletedTask);
        using var client = new ModbusTcpClient(new TcpLink("127.0.0.1", peer.Port), TimeProvider.System);
        Silent(client);
    }

    // Another unit each time: the same would not be asked before its late answer may have passed.
    private static void Silent(IModbusClient client)
    {
        Assert.Equal(LinkStatus.Done, client.Open(TimeSpan.FromSeconds(5)).Status);
        LongRuns.EndsAtItsDeadline(
            i => Assert.Equal(ExchangeStatus.TimedOut, client.Exchange((byte)(1 + (i % 200)), ModbusRequest.Read(ModbusTable.Holding, 0, 1), Timeout).Status),
            Timeout);
    }
}
