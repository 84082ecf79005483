using System.Text.RegularExpressions;
using ThermoWatch.Feeds.Tests.Sparkplug.Conformance;
using ThermoWatch.Tests;

namespace ThermoWatch.Feeds.Tests.Sparkplug;

/// <summary>
/// Every test id of Sparkplug 3.0 (eclipse-sparkplug/sparkplug) that binds an edge node of our kind, held against sessions that went over a real
/// broker (Eclipse Mosquitto): what the node sent as packets, what the broker gave on as somebody else's protobuf reads it.
/// </summary>
public sealed partial class ConformanceTests
{
    public static TheoryData<string, bool> Ids => Rows(Rules.ById.Keys.SelectMany(id => new[] { false, true }.Where(v => Rules.Binds(id, v)).Select(v => (id, v))));

    [Theory]
    [MemberData(nameof(Ids))]
    public async Task Conforms(string id, bool version5) => Rules.ById[id](await Bundle.Of(version5));

    [Fact]
    public async Task Every_rule_is_failed_by_a_node_with_the_mistake_and_every_mistake_is_seen()
    {
        // What only version 3.1.1 has to keep is looked at there, all the rest once.
        (Bundle Whole, string[] Ids)[] held =
        [
            (await Bundle.Of(true), [.. Rules.ById.Keys.Where(id => Rules.Binds(id, true))]),
            (await Bundle.Of(false), [.. Rules.ById.Keys.Where(id => !Rules.Binds(id, true))]),
        ];
        HashSet<string> failed = [];
        List<string> unseen = [];
        foreach ((string name, Action<Bundle> bend) in Breaks.All)
        {
            int fails = 0;
            foreach ((Bundle whole, string[] ids) in held)
            {
                Bundle bent = whole.Copy();
                bend(bent);
                foreach (string id in ids.Where(id => Fails(id, bent)))
                {
                    failed.Add(id);
                    fails++;
                }
            }

            if (fails == 0)
            {
                unseen.Add(name);
            }
        }

        Assert.Empty(Rules.ById.Keys.Except(failed));
        Assert.Empty(unseen);
    }

    [Fact]
    public void Every_id_that_binds_an_edge_node_is_tested_or_stands_in_the_table_with_the_reason()
    {
        string[] table = [.. IdInTable().Matches(File.ReadAllText(Path.Combine(Repository.Root, "src/ThermoWatch.Feeds/Sparkplug/CONFORMANCE.md"))).Select(m => m.Value)];
        string[] bind = [.. File.ReadLines(Path.Combine(AppContext.BaseDirectory, "reference/protocol/sparkplug_assertions.csv")).Skip(1).Select(l => l.Split(',')).Where(l => l[1] == "edge node").Select(l => l[0])];
        Assert.Equal(201, bind.Length);
        Assert.Empty(table.Intersect(Rules.ById.Keys));
        Assert.Equal(bind.Order(StringComparer.Ordinal), table.Concat(Rules.ById.Keys).Order(StringComparer.Ordinal));
    }

    private static bool Fails(string id, Bundle bent)
    {
        try
        {
            Rules.ById[id](bent);
            return false;
        }
        catch (Exception fault) when (fault is not OutOfMemoryException)
        {
            return true; // also where a bent recording cannot even be read: the test would be red
        }
    }

    private static TheoryData<string, bool> Rows(IEnumerable<(string Id, bool Version5)> rows)
    {
        TheoryData<string, bool> data = [];
        foreach ((string id, bool version5) in rows)
        {
            data.Add(id, version5);
        }

        return data;
    }

    [GeneratedRegex("tck-id-[A-Za-z0-9-]*[A-Za-z0-9]")]
    private static partial Regex IdInTable();
}
