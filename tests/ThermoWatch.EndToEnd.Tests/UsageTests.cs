using System.Net;
using System.Net.Sockets;
using ThermoWatch.EndToEnd.Tests.Support;
using ThermoWatch.Tests;

namespace ThermoWatch.EndToEnd.Tests;

/// <summary>What people meet when something is wrong from the start.</summary>
public sealed class UsageTests
{
    [Fact]
    public async Task A_wrong_configuration_lists_every_fault_with_path_and_remedy_and_starts_nothing()
    {
        DirectoryInfo folder = Directory.CreateTempSubdirectory("thermowatch-test-");
        string config = Path.Combine(folder.FullName, "wrong.json");
        string json = await File.ReadAllTextAsync(Published.DemoFile("thermowatch.json"));
        json = json.Replace("\"type\": \"float32\", \"wordOrder\": \"ABCD\" },\n            { \"id\": \"tc2\"", "\"type\": \"float33\", \"wordOrder\": \"ABCD\" },\n            { \"id\": \"tc2\"")
            .Replace("\"period_ms\": 100", "\"period_ms\": -1")
            .Replace("\"name\": \"Cell 1\"", "\"nmae\": \"Cell 1\"")
            .Replace("\"point\": \"tc8\"", "\"point\": \"tc9\"");
        await File.WriteAllTextAsync(config, json);
        File.Copy(Published.DemoFile("traction-board.spec.json"), Path.Combine(folder.FullName, "traction-board.spec.json"));
        File.Copy(Published.DemoFile("gate-driver.spec.json"), Path.Combine(folder.FullName, "gate-driver.spec.json"));
        string data = Path.Combine(folder.FullName, "data");
        await using ProgramRun program = ProgramRun.Start(["serve", "--config", config, "--data", data]);
        Assert.Equal(2, await program.EndsAsync());
        Assert.Contains("4 faults; nothing was started", program.Errors, StringComparison.Ordinal);
        Assert.Contains("cells[0].nmae is not a known key. Did you mean \"name\"?", program.Errors, StringComparison.Ordinal);
        Assert.Contains("cells[0].devices[0].period_ms is -1. Use a number from 10", program.Errors, StringComparison.Ordinal);
        Assert.Contains("cells[0].devices[0].points[0].type is \"float33\". Use one of:", program.Errors, StringComparison.Ordinal);
        Assert.Contains("cells[0].channels[7].point is \"tc9\", which amplifier does not have. Use one of:", program.Errors, StringComparison.Ordinal);
        Assert.False(Directory.Exists(data));
        folder.Delete(recursive: true);
    }

    [Fact]
    public async Task A_port_in_use_is_said_with_the_way_to_choose_another()
    {
        using var other = new TcpListener(IPAddress.Loopback, 0);
        other.Start();
        int port = ((IPEndPoint)other.LocalEndpoint).Port;
        DirectoryInfo data = Directory.CreateTempSubdirectory("thermowatch-test-");
        await using ProgramRun demo = ProgramRun.Start(["demo", "--history", "0", "--port", port.ToString(), "--data", data.FullName]);
        Assert.Equal(3, await demo.EndsAsync());
        Assert.Contains($"Port {port} is already in use", demo.Errors, StringComparison.Ordinal);
        Assert.Contains($"demo --port {port + 1}", demo.Errors, StringComparison.Ordinal);
        data.Delete(recursive: true);
    }

    [Theory]
    [InlineData("serve", "--prot")]
    [InlineData("demo", "--speed", "fast")]
    [InlineData("demo", "--speed", "0")]
    [InlineData("dmo")]
    public async Task Wrong_usage_ends_with_code_2_and_one_line_that_names_the_help(params string[] arguments)
    {
        await using ProgramRun program = ProgramRun.Start(arguments);
        Assert.Equal(2, await program.EndsAsync());
        Assert.Contains("--help", program.Errors, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", program.Errors, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_second_service_on_one_record_is_refused_with_the_first_ones_process_id()
    {
        await using Node node = new();
        await node.StartServiceAsync();
        await using ProgramRun second = ProgramRun.Start(
            ["serve", "--config", Published.DemoFile("thermowatch.json"), "--data", node.DataFolder, "--port", FreePorts.Next().ToString()]);
        Assert.Equal(3, await second.EndsAsync());
        Assert.Contains(node.Service!.Id.ToString(), second.Errors, StringComparison.Ordinal);
    }
}
