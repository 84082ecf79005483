using System.Text.Json;
using System.Text.Json.Nodes;
using ThermoWatch.Acquisition;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Recording.Keeping;

namespace ThermoWatch.Service.Configuration;

/// <summary>What came of reading a configuration: either all of it, or all that is wrong with it.</summary>
/// <param name="Node">The configuration; null if there are faults.</param>
/// <param name="Faults">Every fault, in the order of the file.</param>
public sealed record ConfigurationResult(NodeConfiguration? Node, IReadOnlyList<ConfigurationFault> Faults);

/// <summary>Reads and validates a node's configuration file as a whole. A wrong file never starts half a service.</summary>
public static class ConfigurationReader
{
    private static readonly JsonDocumentOptions Lenient = new() { CommentHandling = JsonCommentHandling.Skip, AllowTrailingCommas = true };

    private static readonly JsonSerializerOptions Indented = new() { WriteIndented = true };

    /// <summary>Reads a file; specs that it names lie beside it.</summary>
    /// <param name="path">Path of the file.</param>
    /// <param name="environment">Environment variables; those that begin with THERMOWATCH__ replace values.</param>
    public static ConfigurationResult ReadFile(string path, IEnumerable<KeyValuePair<string, string>> environment)
    {
        try
        {
            string folder = Path.GetDirectoryName(Path.GetFullPath(path))!;
            return Read(File.ReadAllText(path), environment, name => File.ReadAllBytes(Path.Combine(folder, name)), folder);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return new(null, [new(path, "cannot be read: " + e.Message, "Give the path of a configuration file: --config FILE.")]);
        }
    }

    /// <summary>Reads configuration text.</summary>
    /// <param name="json">The text.</param>
    /// <param name="environment">Environment variables.</param>
    /// <param name="readSpec">Gives the bytes of a spec file that the configuration names.</param>
    /// <param name="folder">Where the text lies: from there count the paths of files that feeds name.</param>
    public static ConfigurationResult Read(
        string json, IEnumerable<KeyValuePair<string, string>> environment, Func<string, byte[]> readSpec, string folder = "")
    {
        List<ConfigurationFault> faults = [];
        JsonNode? root;
        try
        {
            root = JsonNode.Parse(json, documentOptions: Lenient);
        }
        catch (JsonException e)
        {
            return new(null, [new($"line {e.LineNumber + 1}", "is not JSON: " + FirstSentence(e.Message), "Mend the line; look for a missing comma, quote or bracket just before it.")]);
        }

        if (root is null)
        {
            return new(null, [new("(file)", "is empty", "Write an object with \"cells\".")]);
        }

        EnvironmentOverrides.Apply(root, environment, faults);
        var top = new JsonScope(JsonSerializer.SerializeToElement(root), "", faults, folder);
        string host = top.OptionalText("host") ?? "localhost";
        int port = top.Whole("port", 1, 65535, 5170);
        IReadOnlyList<JsonScope> cellScopes = top.Objects("cells", "Describe at least one cell.");
        KeepingRules keeping = ReadKeeping(top);
        int[] numbers = [.. cellScopes.Where(s => s.Find("number") is { ValueKind: JsonValueKind.Number } n && n.TryGetInt32(out _)).Select(s => s.Find("number")!.Value.GetInt32())];
        IReadOnlyList<FeedConfiguration> feeds = FeedReader.Read(top, numbers);
        top.NothingElse();
        List<(string Name, int Version, string Text)> specs = [];
        List<CellConfiguration> cells = [.. cellScopes.Select(scope => CellReader.Read(scope, name => ReadSpec(scope, name, readSpec, specs)))];
        foreach (IGrouping<int, CellConfiguration> twice in cells.GroupBy(c => c.Definition.Number).Where(g => g.Count() > 1))
        {
            top.Fault("cells", $"has {twice.Count()} cells with number {twice.Key}", "Give every cell a number of its own.");
        }

        if (faults.Count == 0)
        {
            CheckWires(cells, faults);
        }

        return faults.Count == 0 ? new(new(host, port, cells) { Keeping = keeping, Feeds = feeds, Notes = FeedNotes.Of(feeds, cells), Text = root.ToJsonString(Indented), SpecTexts = specs }, []) : new(null, faults);
    }

    private static KeepingRules ReadKeeping(JsonScope top)
    {
        if (top.Object("recording") is not { } scope)
        {
            return new KeepingRules();
        }

        const double Gigabyte = 1e9;
        TimeSpan? age = scope.Has("keepIdleDays") ? TimeSpan.FromDays(scope.Number("keepIdleDays", 1, 10000, null)) : null;
        long? room = scope.Has("leastFree_GB") ? (long)(scope.Number("leastFree_GB", 0.1, 100000, null) * Gigabyte) : null;
        scope.NothingElse();
        return new KeepingRules { IdleAge = age, LeastFreeBytes = room };
    }

    /// <summary>Devices on one wire must agree; two cells cannot share one, as each has a master of its own.</summary>
    private static void CheckWires(List<CellConfiguration> cells, List<ConfigurationFault> faults)
    {
        for (int i = 0; i < cells.Count; i++)
        {
            faults.AddRange(Wiring.Clashes(cells[i].Devices, $"cells[{i}].devices"));
            for (int j = 0; j < i; j++)
            {
                faults.AddRange(Wiring.Shared(cells[j].Devices, cells[i].Devices, $"cells[{j}].devices", $"cells[{i}].devices"));
            }
        }
    }

    private static Spec? ReadSpec(JsonScope scope, string name, Func<string, byte[]> readSpec, List<(string Name, int Version, string Text)> specs)
    {
        byte[] bytes;
        try
        {
            bytes = readSpec(name);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            scope.Fault("spec", $"names {name}, which cannot be read: {e.Message}", "Put the spec file beside the configuration file, or mend the name.");
            return null;
        }

        SpecParse parse = SpecFile.Parse(bytes);
        foreach (SpecFault fault in parse.Faults)
        {
            scope.Fault("spec", $"({name}) {fault.Path} {fault.Problem}", fault.Remedy);
        }

        if (parse.Spec is { } spec && !specs.Exists(other => other.Name == spec.Name && other.Version == spec.Version))
        {
            specs.Add((spec.Name, spec.Version, System.Text.Encoding.UTF8.GetString(bytes)));
        }

        return parse.Spec;
    }

    private static string FirstSentence(string text) => text.Split(". ", 2)[0] + ".";
}
