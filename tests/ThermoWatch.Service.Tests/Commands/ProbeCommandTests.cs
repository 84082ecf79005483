using System.Net;
using System.Net.Sockets;
using System.Text.Json;
using ThermoWatch.Acquisition.Modbus;
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
        ProbeCommand.Run([Absent(), Absent() with { Id = "gauge" }], 1, json: true, output, default);
        string[] lines = output.ToString().Split('\n', StringSplitOptions.RemoveEmptyEntries);
        Assert.Equal(["amplifier", "gauge"], lines.Select(l => JsonDocument.Parse(l).RootElement.GetProperty("device").GetString()));
        Assert.All(lines, l => Assert.False(JsonDocument.Parse(l).RootElement.GetProperty("reached").GetBoolean()));
    }

    [Fact]
    public async Task A_device_that_is_not_configured_is_wrong_usage() =>
        Assert.Equal(2, await ProbeCommand.Create(_ => ([Absent()], null)).Parse(["--device", "other"]).InvokeAsync());

    [Fact]
    public async Task A_wrong_configuration_is_wrong_usage() =>
        Assert.Equal(2, await ProbeCommand.Create(_ => ([], "thermowatch.json is not there. Write one.")).Parse([]).InvokeAsync());

    private static ModbusTcpDeviceOptions Absent()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return new() { Id = "amplifier", Host = "127.0.0.1", Port = ((IPEndPoint)listener.LocalEndpoint).Port, Points = [new() { Id = "p", Address = 0 }] };
    }
}
