using System.Collections.Concurrent;
using System.Diagnostics;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using ThermoWatch.EndToEnd.Tests.Examples;
using ThermoWatch.EndToEnd.Tests.Support;
using ThermoWatch.Tests;

namespace ThermoWatch.EndToEnd.Tests;

/// <summary>The C# examples of the documents stay true: each stands in the tests word for word, and is run against the delivered program.</summary>
public sealed partial class ExampleTests
{
    private static readonly string[] s_documents = ["src/ThermoWatch.Service/README.md", "src/ThermoWatch.Feeds/README.md"];

    [Fact]
    public async Task Examples_of_the_documents_are_those_that_are_run()
    {
        string source = await File.ReadAllTextAsync(Path.Combine(Repository.Root, "tests/ThermoWatch.EndToEnd.Tests/Examples/Documented.cs"), TestContext.Current.CancellationToken);
        HashSet<string> run = [.. Example().Matches(source).Select(m => Outdent(m.Groups[1].Value))];
        List<string> documented = [];
        foreach (string document in s_documents)
        {
            string text = await File.ReadAllTextAsync(Path.Combine(Repository.Root, document), TestContext.Current.CancellationToken);
            documented.AddRange(Fence().Matches(text).Select(m => m.Groups[1].Value.Replace("\"http://localhost:5170\"", "address", StringComparison.Ordinal).Trim()));
        }

        Assert.Equal(3, documented.Count);
        Assert.Equal(run.Order(), documented.Order());
    }

    [Fact]
    public async Task Examples_do_what_the_documents_say()
    {
        await using LineSink sink = await LineSink.StartAsync(FreePorts.Next());
        await using Node node = new();
        await node.StartMachineAsync();
        await node.StartServiceAsync(json => json["feeds"] = new JsonArray(Node.Historian(sink.Port)));
        using var said = new Lines();
        var examples = new Documented($"http://localhost:{node.Port}", said);

        await examples.WatchAsync(() => said.UntilAsync(10));
        Assert.All(said.Take(10), line => Assert.Matches(@"^\d{4}-\d\d-\d\dT\S+ tc1 -?\d+\.\d, ", line));
        said.Clear();
        await examples.FeedsAsync();
        Assert.Matches(@"^historian: sending, \d[\d.Ee-]* s behind$", Assert.Single(said.Take(2)));
        said.Clear();
        await examples.FailedRunsAsync(); // a machine that has just begun has none
        Assert.Empty(said.Take(1));
    }

    private static string Outdent(string code) => string.Join('\n', code.Trim('\n').Split('\n').Select(line => line.Length >= 8 ? line[8..] : line)).Trim();

    [GeneratedRegex(@"// <example>\n(.*?)\n\s*// </example>", RegexOptions.Singleline)]
    private static partial Regex Example();

    [GeneratedRegex(@"```csharp\n(.*?)```", RegexOptions.Singleline)]
    private static partial Regex Fence();

    /// <summary>Keeps what an example writes.</summary>
    private sealed class Lines : StringWriter
    {
        private readonly ConcurrentQueue<string> _lines = new();

        public override void WriteLine(string? value) => _lines.Enqueue(value ?? "");

        public string[] Take(int most) => [.. _lines.Take(most)];

        public void Clear() => _lines.Clear();

        public async Task UntilAsync(int count)
        {
            var waited = Stopwatch.StartNew();
            while (_lines.Count < count)
            {
                Assert.True(waited.Elapsed < TimeSpan.FromSeconds(30), $"{_lines.Count} of {count} lines within 30 s");
                await Task.Delay(50);
            }
        }
    }
}
