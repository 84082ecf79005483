using System.Diagnostics;
using System.Text.RegularExpressions;
using ThermoWatch.Domain.Alarms.Words;
using ThermoWatch.Recording.Chain;
using ThermoWatch.Tests;
using YamlDotNet.RepresentationModel;

namespace ThermoWatch.Architecture.Tests;

/// <summary>What the top of the repository promises.</summary>
public sealed partial class HouseTests
{
    [Fact]
    public void The_compose_file_parses_and_names_only_services_and_volumes_that_exist()
    {
        YamlStream yaml = new();
        yaml.Load(new StringReader(File.ReadAllText(Path.Combine(Repository.Root, "docker-compose.yml"))));
        var root = (YamlMappingNode)yaml.Documents[0].RootNode;
        var services = (YamlMappingNode)root["services"];
        Assert.Equal(["simulator", "thermowatch"], services.Children.Keys.Select(k => k.ToString()).Order());
        string[] volumes = [.. ((YamlMappingNode)root["volumes"]).Children.Keys.Select(k => k.ToString())];
        foreach ((YamlNode name, YamlNode value) in services.Children)
        {
            var service = (YamlMappingNode)value;
            Assert.True(service.Children.ContainsKey("build"), $"{name} is built from this repository");
            if (service.Children.TryGetValue("depends_on", out YamlNode? needed))
            {
                Assert.All((YamlSequenceNode)needed, n => Assert.Contains(n.ToString(), services.Children.Keys.Select(k => k.ToString())));
            }

            if (service.Children.TryGetValue("volumes", out YamlNode? mounts))
            {
                foreach (string source in ((YamlSequenceNode)mounts).Select(m => m.ToString().Split(':')[0]))
                {
                    bool there = source.StartsWith('.') ? Directory.Exists(Path.Combine(Repository.Root, source)) : volumes.Contains(source);
                    Assert.True(there, $"{name} mounts {source}, which is not there");
                }
            }

            if (service.Children.TryGetValue("ports", out YamlNode? ports))
            {
                Assert.All((YamlSequenceNode)ports, p => Assert.StartsWith("127.0.0.1:", p.ToString(), StringComparison.Ordinal));
            }
        }
    }

    [Fact]
    public void The_image_builds_from_files_that_exist_and_starts_the_published_assembly()
    {
        string[] lines = File.ReadAllLines(Path.Combine(Repository.Root, "Dockerfile"));
        string publish = Assert.Single(lines, l => l.Contains("dotnet publish", StringComparison.Ordinal));
        Assert.True(Directory.Exists(Path.Combine(Repository.Root, publish.Split(' ').Single(w => w.StartsWith("src/", StringComparison.Ordinal)))));
        Assert.Contains(lines, l => l.StartsWith("ENTRYPOINT", StringComparison.Ordinal) && l.Contains("thermowatch.dll", StringComparison.Ordinal));
        Assert.Contains(lines, l => l.StartsWith("USER ", StringComparison.Ordinal));
    }

    [Fact]
    public void Every_package_has_its_reason_in_the_contributor_guide()
    {
        string guide = File.ReadAllText(Path.Combine(Repository.Root, "DEVELOPERS.md"));
        string versions = File.ReadAllText(Path.Combine(Repository.Root, "Directory.Packages.props"));
        string[] packages = [.. PackageVersion().Matches(versions).Select(m => m.Groups[1].Value)];
        Assert.NotEmpty(packages);
        Assert.All(packages, p => Assert.Contains($"`{p}`", guide, StringComparison.Ordinal));
    }

    [Fact]
    public void Every_action_of_the_audit_trail_is_explained_in_the_contributor_guide_and_none_has_another_name()
    {
        string[] guide = File.ReadAllLines(Path.Combine(Repository.Root, "DEVELOPERS.md"));
        string[] explained = [.. guide.SkipWhile(l => l != "| action | what was done |").Skip(2).TakeWhile(l => l.StartsWith('|')).Select(l => l.Split('`')[1])];
        string[] known = [.. typeof(AuditActions).GetFields().Select(f => (string)f.GetRawConstantValue()!)];
        Assert.Equal(known.Order(), explained.Order());

        // Where an entry is made its action is one of those, by name.
        string[] sources = Directory.GetFiles(Path.Combine(Repository.Root, "src"), "*.cs", SearchOption.AllDirectories);
        string[] entries = [.. sources.SelectMany(file => AuditEntryMade().Matches(File.ReadAllText(file)).Select(m => m.Groups[1].Value))];
        Assert.True(entries.Length >= 7, $"{entries.Length} places make an entry");
        Assert.All(entries, e => Assert.DoesNotMatch(ActionInText(), e));

        // Nor is one handed on as text.
        string[] subjects = [.. known.Select(action => action.Split('.')[0]).Distinct()];
        string[] texts = [.. sources.Where(file => Path.GetFileName(file) != "AuditActions.cs").SelectMany(file => ActionInText().Matches(File.ReadAllText(file)).Select(m => m.Value.Trim('"')))];
        Assert.DoesNotContain(texts, text => subjects.Contains(text.Split('.')[0]) && !text.EndsWith(".json", StringComparison.Ordinal)
            && !AlarmTexts.English.ContainsKey(text)); // keys of texts are written alike
    }

    [Fact]
    public void Nothing_committed_names_a_folder_of_the_machine_it_was_written_on()
    {
        using var git = Process.Start(new ProcessStartInfo("git", ["ls-files"]) { WorkingDirectory = Repository.Root, RedirectStandardOutput = true })!;
        string[] files = git.StandardOutput.ReadToEnd().Split('\n', StringSplitOptions.RemoveEmptyEntries);
        git.WaitForExit();
        Assert.SkipUnless(git.ExitCode == 0 && files.Length > 0, "not a git checkout");
        string[] text = [".cs", ".ts", ".md", ".json", ".yml", ".props", ".csproj", ".css", ".html", ".mjs", ".csv"];
        Assert.All(
            files.Where(f => text.Contains(Path.GetExtension(f)) && File.Exists(Path.Combine(Repository.Root, f))),
            f => Assert.DoesNotMatch(HomeOrWorkFolder(), File.ReadAllText(Path.Combine(Repository.Root, f))));
    }

    [GeneratedRegex(@"new AuditEntry\(([^;]*);")]
    private static partial Regex AuditEntryMade();

    [GeneratedRegex(@"""[a-z]+(?:\.[a-z]+)+""")]
    private static partial Regex ActionInText();

    [GeneratedRegex("PackageVersion Include=\"([^\"]+)\"")]
    private static partial Regex PackageVersion();

    [GeneratedRegex(@"(?<![\w.])/(work|root|home)/[a-z]")]
    private static partial Regex HomeOrWorkFolder();
}
