using System.CommandLine;
using System.Net;
using System.Net.Sockets;
using ThermoWatch.Service.Commands;

namespace ThermoWatch.Service.Tests.Commands;

public sealed class SimulateCommandTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("thermowatch-test-");

    public void Dispose() => _folder.Delete(recursive: true);

    [Theory]
    [InlineData("--port", "70000", "--port must be a port, 0 to 65535.")]
    [InlineData("--speed", "0", "--speed must be above 0 and at most 10000.")]
    [InlineData("--speed", "1,5", "--speed must be above 0")]
    [InlineData("--start-at", "-1", "--start-at must be 0 to 1000000 seconds.")]
    [InlineData("--cells", "65", "--cells must be 1 to 64.")]
    [InlineData("--seed", "one", "--seed must be a whole number.")]
    [InlineData("--baud", "300", "--baud must be 1200 to 115200.")]
    [InlineData("--face", "profibus", "'tcp'")]
    [InlineData("--parity", "mark", "'even'")]
    public void Option_out_of_range_is_wrong_usage_and_says_the_range(string option, string value, string says) =>
        Assert.Contains(says, Assert.Single(SimulateCommand.Create().Parse([option, value]).Errors).Message, StringComparison.Ordinal);

    [Theory]
    [InlineData("--device", "/dev/ttyUSB0")]
    [InlineData("--truth", "truth.csv")]
    public void What_serves_one_machine_is_refused_with_several(string option, string value)
    {
        Assert.Contains("leave out --cells", Assert.Single(SimulateCommand.Create().Parse([option, value, "--cells", "2"]).Errors).Message, StringComparison.Ordinal);
        Assert.Empty(SimulateCommand.Create().Parse([option, value, "--cells", "1"]).Errors);
    }

    [Fact]
    public async Task Unknown_scenario_is_code_2_and_one_line_that_names_those_that_exist()
    {
        (int code, _, string errors) = await RunAsync("--scenario", "good-week");
        Assert.Equal(2, code);
        Assert.StartsWith("thermowatch: No scenario is called 'good-week'. Name a JSON file, or one of: bad-week, ", errors, StringComparison.Ordinal);
        Assert.Single(errors.TrimEnd().Split('\n'));
    }

    [Fact]
    public async Task Wrong_scenario_file_is_code_2_with_every_problem()
    {
        string path = Path.Combine(_folder.FullName, "mine.json");
        await File.WriteAllTextAsync(path, """{ "name": "mine", "boards": 3, "faultShare": 2 }""", TestContext.Current.CancellationToken);
        (int code, _, string errors) = await RunAsync("--scenario", path);
        Assert.Equal(2, code);
        Assert.Contains(path + ": boards is 3; a carrier holds 1, 2 or 4. faultShare is 2; a share is 0 to 1.", errors, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Scenario_file_that_is_not_there_is_code_2_with_its_path()
    {
        string path = Path.Combine(_folder.FullName, "none.json");
        (int code, _, string errors) = await RunAsync("--scenario", path);
        Assert.Equal(2, code);
        Assert.Contains(path, errors, StringComparison.Ordinal);
        Assert.Contains("--scenario", errors, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Port_in_use_is_code_3_with_the_way_to_choose_another()
    {
        using var taken = new TcpListener(IPAddress.Loopback, 0);
        taken.Start();
        string port = ((IPEndPoint)taken.LocalEndpoint).Port.ToString();
        (int code, string output, string errors) = await RunAsync("--port", port);
        Assert.Equal(3, code);
        Assert.StartsWith($"thermowatch: Port {port} cannot be listened on", errors, StringComparison.Ordinal);
        Assert.Contains("--port", errors, StringComparison.Ordinal);
        Assert.Empty(output);
    }

    [Fact]
    public async Task Truth_that_cannot_be_written_is_code_3()
    {
        (int code, _, string errors) = await RunAsync("--truth", Path.Combine(_folder.FullName, "no", "truth.csv"));
        Assert.Equal(3, code);
        Assert.Contains("--truth", errors, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Serial_port_that_is_not_there_is_code_3()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "Serial faces are served on Linux only.");
        (int code, _, string errors) = await RunAsync("--face", "rtu", "--device", "/dev/tty-that-is-not-there");
        Assert.Equal(3, code);
        Assert.Contains("--device", errors, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Told_to_stop_it_ends_with_code_0()
    {
        using var stop = new CancellationTokenSource();
        var output = new Listening(stop);
        InvocationConfiguration console = new() { Output = output, Error = new StringWriter() };
        Assert.Equal(0, await SimulateCommand.Create().Parse(["--start-at", "100"]).InvokeAsync(console, stop.Token));
        Assert.StartsWith("listening on 127.0.0.1:", output.ToString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("--runs", "0", "--runs must be 1 to 1000000.")]
    [InlineData("--faults", "1.5", "--faults must be 0 to 1.")]
    [InlineData("--production", "half", "--production must be 0 to 1.")]
    public void Fleet_option_out_of_range_is_wrong_usage(string option, string value, string says) =>
        Assert.Contains(says, SimulateCommand.Create().Parse(["fleet", "--out", "x", option, value]).Errors.Select(e => e.Message));

    [Fact]
    public void Fleet_needs_a_folder() =>
        Assert.Contains("--out", Assert.Single(SimulateCommand.Create().Parse(["fleet", "--runs", "1"]).Errors).Message, StringComparison.Ordinal);

    [Fact]
    public async Task Fleet_whose_folder_is_a_file_is_code_3_with_the_way_to_choose_another()
    {
        string path = Path.Combine(_folder.FullName, "file");
        await File.WriteAllTextAsync(path, "", TestContext.Current.CancellationToken);
        (int code, _, string errors) = await RunAsync("fleet", "--runs", "1", "--out", path);
        Assert.Equal(3, code);
        Assert.Contains("thermowatch: The fleet cannot be written:", errors, StringComparison.Ordinal);
        Assert.Contains("--out", errors, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Fleet_shows_its_progress_and_says_where_it_is()
    {
        string path = Path.Combine(_folder.FullName, "fleet");
        (int code, string output, string errors) = await RunAsync("fleet", "--runs", "2", "--seed", "3", "--out", path);
        Assert.Equal(0, code);

        // Cores may report out of order; then the smaller number is not said any more.
        string[] progress = [.. errors.Split('\n', StringSplitOptions.RemoveEmptyEntries).Select(l => l.Trim())];
        Assert.Equal("100 %", progress[^1]);
        Assert.All(progress[..^1], l => Assert.Equal("50 %", l));
        Assert.InRange(progress.Length, 1, 2);
        Assert.Matches(@"^2 runs in \d+\.\d s: ", output);
        Assert.Equal(6, Directory.GetFiles(path).Length);
    }

    private static async Task<(int Code, string Output, string Errors)> RunAsync(params string[] arguments)
    {
        StringWriter output = new(), errors = new();
        int code = await SimulateCommand.Create().Parse(arguments)
            .InvokeAsync(new InvocationConfiguration { Output = output, Error = errors }, TestContext.Current.CancellationToken);
        return (code, output.ToString(), errors.ToString());
    }

    /// <summary>Stops the machine as soon as it has said where it listens.</summary>
    private sealed class Listening(CancellationTokenSource stop) : StringWriter
    {
        public override async Task WriteLineAsync(string? value)
        {
            await base.WriteLineAsync(value);
            await stop.CancelAsync();
        }
    }
}
