using System.Diagnostics;
using System.Text.Json;
using ThermoWatch.Tests;

namespace ThermoWatch.Feeds.Tests.Sparkplug;

/// <summary>A decoder that we did not write: Google's protobuf in Python, with a schema made from the published field table.</summary>
internal static class Decoder
{
    public static JsonElement[] Decode(IEnumerable<byte[]> payloads)
    {
        string python = Peers.Program("python3", "python3");
        var start = new ProcessStartInfo("/usr/bin/python3", [Path.Combine(Repository.Root, "tests/ThermoWatch.Feeds.Tests/Peers/decode_sparkplug.py"), Path.Combine(AppContext.BaseDirectory, "reference/protocol/sparkplug_fields.csv")])
        {
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        Assert.NotNull(python);
        using Process process = Process.Start(start)!;
        Task<string> errors = process.StandardError.ReadToEndAsync();
        Task<string> output = process.StandardOutput.ReadToEndAsync();
        foreach (byte[] payload in payloads)
        {
            process.StandardInput.WriteLine(Convert.ToHexString(payload));
        }

        process.StandardInput.Close();
        process.WaitForExit();
        Peers.Need(!errors.Result.Contains("No module named", StringComparison.Ordinal), "python3-protobuf is not installed");
        Assert.True(process.ExitCode == 0, errors.Result);
        return [.. output.Result.Split('\n', StringSplitOptions.RemoveEmptyEntries).Select(l => JsonSerializer.Deserialize<JsonElement>(l))];
    }
}
