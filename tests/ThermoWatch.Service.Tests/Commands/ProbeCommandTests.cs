using System.Net;
using System.Net.Sockets;
using System.Text.Json;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Probing;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Service.Api;
using ThermoWatch.Service.Commands;

namespace ThermoWatch.Service.Tests.Commands;

public sealed class ProbeCommandTests
{
    [Fact]
    public void A_device_that_cannot_be_reached_is_exit_code_3_with_the_reason()
    {
        var output = new StringWriter();
        Assert.Equal(3, ProbeCommand.Run([Absent()], 1, json: false, output, default));
        Assert.Contains("amplifier at 127.0.0.1:", output.ToString(), StringComparison.Ordinal);
        Assert.Contains("NOT REACHED", output.ToString(), StringComparison.Ordinal);
        Assert.Contains("! 127.0.0.1:", output.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void Json_is_one_object_a_device_and_line()
    {
        var output = new StringWriter();
        ProbeCommand.Run([Absent(), Absent() with { Options = Absent().Options with { Id = "gauge" } }], 1, json: true, output, default);
        string[] lines = output.ToString().Split('\n', StringSplitOptions.RemoveEmptyEntries);
        Assert.Equal(["amplifier", "gauge"], lines.Select(l => JsonDocument.Parse(l).RootElement.GetProperty("device").GetString()));
        Assert.All(lines, l => Assert.False(JsonDocument.Parse(l).RootElement.GetProperty("reached").GetBoolean()));
    }

    [Fact]
    public void A_report_is_converted_as_it_would_be_live()
    {
        // NIST SRD 60, type K: 4.096 mV at 100 degC, 1.000 mV at 25 degC; so 3.096 mV with a cold junction at 25 degC are 100 degC.
        CellDefinition cell = new()
        {
            Number = 1,
            Name = "Cell 1",
            Carriers = ["A"],
            Devices = [new("amplifier", "Amplifier", TimeSpan.FromSeconds(1), ["tc", "cj", "raw"])],
            Channels =
            [
                Channel("tc1", ChannelRole.Product, "tc", new() { Unit = MeasuredUnit.Millivolt, Thermocouple = 'K', ColdJunction = new ColdJunctionSource.FromChannel("cj") }),
                Channel("cj", ChannelRole.ColdJunction, "cj", new() { Unit = MeasuredUnit.DegreeCelsius, Scale = 0.1 }),
                Channel("other", ChannelRole.Auxiliary, "raw", new() { Unit = MeasuredUnit.One }),
            ],
        };
        var device = new ProbedDevice((ModbusTcpDeviceOptions)Absent().Options with { Points = [new() { Id = "tc", Address = 0 }, new() { Id = "cj", Address = 1 }, new() { Id = "raw", Address = 2 }] }, cell);
        var none = new Dictionary<string, double?>();
        ProbeReport report = new()
        {
            Device = "amplifier",
            Wire = "w",
            Reached = true,
            Points = [new("tc", "", "", 3.096, "good", none), new("cj", "", "", 250, "good", none), new("raw", "", "", null, "bad:refused", none)],
        };
        IReadOnlyList<ProbeChannel> channels = device.Converted(report, new Timestamp(1)).Channels;
        Assert.Equal(100, channels[0].Value!.Value, tolerance: 0.02); // half a microvolt of the printed table
        Assert.Equal(("degC", "good", 25.0), (channels[0].Unit, channels[0].Quality, channels[1].Value!.Value));
        Assert.Equal(new ProbeChannel("other", null, "1", "bad:refused"), channels[2]);
        Assert.Empty(device.Converted(report with { Points = [] }, new Timestamp(1)).Channels); // not reached
    }

    [Fact]
    public async Task A_device_that_is_not_configured_is_wrong_usage() =>
        Assert.Equal(2, await ProbeCommand.Create(_ => ([Absent()], null)).Parse(["--device", "other"]).InvokeAsync());

    [Fact]
    public async Task A_wrong_configuration_is_wrong_usage() =>
        Assert.Equal(2, await ProbeCommand.Create(_ => ([], "thermowatch.json is not there. Write one.")).Parse([]).InvokeAsync());

    private static ChannelDefinition Channel(string id, ChannelRole role, string point, ChannelConversion conversion) =>
        new() { Id = id, Name = id, Role = role, Device = "amplifier", Point = point, Conversion = conversion };

    private static ProbedDevice Absent()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return new(new ModbusTcpDeviceOptions { Id = "amplifier", Host = "127.0.0.1", Port = ((IPEndPoint)listener.LocalEndpoint).Port, Points = [new() { Id = "p", Address = 0 }] }, null);
    }
}
