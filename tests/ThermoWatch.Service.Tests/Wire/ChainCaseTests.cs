using System.Globalization;
using System.Net;
using System.Threading.Channels;
using ThermoWatch.Acquisition;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Simulator.Wire;

namespace ThermoWatch.Service.Tests.Wire;

/// <summary>
/// The published chain cases on a real socket: the simulator's encoder, our driver, our conversion. A wrong coefficient,
/// a swapped word or a temperature added where an EMF belongs would show.
/// </summary>
public sealed class ChainCaseTests
{
    // NIST ITS-90 type K by 50-digit bisection; see tests/reference/thermocouple/README.md.
    public static TheoryData<double, double, double> Cases => new(File.ReadLines(Path.Combine("reference", "thermocouple", "chain_cases.csv"))
        .Skip(1).Select(line => line.Split(',').Select(c => double.Parse(c, CultureInfo.InvariantCulture)).ToArray()).Select(c => (c[0], c[1], c[2])));

    [Theory]
    [MemberData(nameof(Cases))]
    public async Task An_EMF_and_a_cold_junction_on_the_wire_come_out_as_the_published_temperature(double emf, double coldJunction, double hot)
    {
        FixedRegisters registers = new();
        registers.PutSingle(RegisterTable.Input, 0, (float)emf);
        registers.PutSingle(RegisterTable.Input, 20, (float)coldJunction);
        // The plan may read both in one request: what lies between them must be there.
        for (int address = 2; address < 20; address += 2)
        {
            registers.PutSingle(RegisterTable.Input, address, 0);
        }

        await using ModbusTcpFace face = ModbusTcpFace.Start(registers, new IPEndPoint(IPAddress.Loopback, 0));
        ModbusTcpDeviceOptions device = new()
        {
            Id = "amplifier",
            Host = "127.0.0.1",
            Port = face.Port,
            Period = TimeSpan.FromMilliseconds(10),
            Points = [Point("tc", 0), Point("cj", 20)],
        };
        CellDefinition cell = new()
        {
            Number = 1,
            Name = "Cell",
            Carriers = ["A"],
            Devices = [device.ToDefinition()],
            Channels =
            [
                Signal("tc", ChannelRole.Product, new() { Unit = MeasuredUnit.Millivolt, Thermocouple = 'K', ColdJunction = new ColdJunctionSource.FromChannel("cj") }),
                Signal("cj", ChannelRole.ColdJunction, new() { Unit = MeasuredUnit.DegreeCelsius }),
            ],
        };

        RawScan scan = await FirstScanAsync(device);
        Reading[] readings = new Reading[2];
        new CellConverter(cell).Convert(scan, readings);
        Assert.Equal(SignalQuality.Good, readings[0].Quality);
        // Both numbers travel as float32: half a step of the largest EMF, 2e-6 mV, is 5e-5 K; of the cold junction, 4e-6 K.
        Assert.Equal(hot, readings[0].Value, 1e-4);
    }

    private static async Task<RawScan> FirstScanAsync(ModbusTcpDeviceOptions device)
    {
        var inputs = Channel.CreateBounded<EngineInput>(1024);
        var runner = new AcquisitionRunner([device], inputs.Writer, new AnchoredClock(TimeProvider.System), TimeProvider.System, jitterSeed: 1);
        using var stop = new CancellationTokenSource(TimeSpan.FromSeconds(20));
        Task running = runner.RunAsync(stop.Token);
        RawScan? scan = null;
        while (scan is null)
        {
            scan = (await inputs.Reader.ReadAsync(stop.Token) as ScanInput)?.Scan;
        }

        await stop.CancelAsync();
        await running;
        return scan;
    }

    private static ModbusPoint Point(string id, int address) =>
        new() { Id = id, Table = ModbusTable.Input, Address = address, Type = PointType.Float32 };

    private static ChannelDefinition Signal(string id, ChannelRole role, ChannelConversion conversion) =>
        new() { Id = id, Name = id, Role = role, Device = "amplifier", Point = id, Conversion = conversion };
}
