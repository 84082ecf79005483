using System.Reflection;
using System.Text.Json;
using System.Text.RegularExpressions;
using MessagePack;
using ThermoWatch.Service.Live;
using ThermoWatch.Tests;

namespace ThermoWatch.Service.Tests.Live;

/// <summary>MessagePack, JSON and the dashboard's own types carry the same keys.</summary>
public sealed partial class LiveContractTests
{
    public static TheoryData<string> Shapes => [.. Types().Select(t => t.Name)];

    [Theory]
    [MemberData(nameof(Shapes))]
    public void Json_carries_the_keys_of_MessagePack(string shape)
    {
        Type type = Types().Single(t => t.Name == shape);
        string[] packed = [.. type.GetProperties().Select(p => p.GetCustomAttribute<KeyAttribute>()!.StringKey!)];
        string[] json = [.. JsonSerializerOptions.Web.GetTypeInfo(type).Properties.Select(p => p.Name)];
        Assert.Equal(packed.Order(StringComparer.Ordinal), json.Order(StringComparer.Ordinal));
    }

    [Theory]
    [MemberData(nameof(Shapes))]
    public void The_dashboard_knows_the_same_keys(string shape)
    {
        Type type = Types().Single(t => t.Name == shape);
        string[] files = Directory.GetFiles(Path.Combine(Repository.Root, "dashboards", "src", "feed"), "*ontract.ts");
        string contract = string.Concat(files.Select(File.ReadAllText));
        Match match = Regex.Match(contract, $@"export interface {shape} \{{(.*?)\n?\}}", RegexOptions.Singleline);
        Assert.True(match.Success, $"The dashboard's contract has no interface {shape}");
        string[] known = [.. Member().Matches(match.Groups[1].Value).Select(m => m.Groups[1].Value)];
        string[] packed = [.. type.GetProperties().Select(p => p.GetCustomAttribute<KeyAttribute>()!.StringKey!)];
        Assert.Equal(packed.Order(StringComparer.Ordinal), known.Order(StringComparer.Ordinal));
    }

    [Fact]
    public void A_frame_survives_both_protocols()
    {
        ScanFrame frame = new() { Cell = 3, Seq = 1L << 40, T = 1_700_000_000_123.4567, Data = [1, 2, 255] };
        Assert.Equal(JsonSerializer.Serialize(frame), JsonSerializer.Serialize(MessagePackSerializer.Deserialize<ScanFrame>(MessagePackSerializer.Serialize(frame))));
        Assert.Equal(frame.Data, JsonSerializer.Deserialize<ScanFrame>(JsonSerializer.Serialize(frame, JsonSerializerOptions.Web), JsonSerializerOptions.Web)!.Data);
    }

    private static IEnumerable<Type> Types() =>
        typeof(ScanFrame).Assembly.GetTypes().Where(t => t.GetCustomAttribute<MessagePackObjectAttribute>() is not null);

    [GeneratedRegex(@"readonly (\w+)\??:")]
    private static partial Regex Member();
}
