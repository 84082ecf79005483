using System.Text;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds.Sparkplug;

namespace ThermoWatch.Feeds.Tests.Sparkplug.Conformance;

/// <summary>What a node goes through while it is recorded. Names are of the awkward kind on purpose.</summary>
internal static class Scenarios
{
    public const string Group = "Werk Süd", Node = "hall 2", Twin = "hall 3", Host = "scada";
    public static readonly string[] Devices = ["cell-1", "cell-1-logger", "cell-1-gauge___1", "cell-2", "cell-2-logger"];
    public static readonly DateTimeOffset Start = new(2026, 3, 2, 8, 0, 0, TimeSpan.Zero), Past = new(2026, 3, 1, 8, 0, 0, TimeSpan.Zero);

    public static readonly CellDefinition One = Cell(1, ("logger", ["tc1", "tc2", "TC1"]), ("gauge+#/1", ["p+1"])), Two = Cell(2, ("logger", ["tc1"]));

    /// <summary>A request for births: Node Control/Rebirth, Boolean, true; written by hand from the field numbers.</summary>
    public static byte[] Request(bool value = true, string name = "Node Control/Rebirth")
    {
        byte[] text = Encoding.UTF8.GetBytes(name);
        byte[] metric = [0x0A, (byte)text.Length, .. text, 0x20, 11, 0x70, (byte)(value ? 1 : 0)];
        return [0x08, 1, 0x12, (byte)metric.Length, .. metric];
    }

    public static string Topic(string type) => $"spBv1.0/{Group}/{type}/{Node}";

    public static async Task<Bundle> RecordAsync(bool version5)
    {
        List<Handed> handed = [];
        Task<Recording> ordinary = OrdinaryAsync(version5, handed), wrap = WrapAsync(version5), host = HostAsync(version5), walk = WalkAsync(version5), twins = TwinsAsync(version5);
        return new Bundle { Version5 = version5, Ordinary = await ordinary, Wrap = await wrap, Host = await host, Walk = await walk, Twins = await twins, Handed = handed };
    }

    private static async Task<Recording> OrdinaryAsync(bool version5, List<Handed> handed)
    {
        await using Scene scene = await Scene.OpenAsync(version5);
        scene.Handed = handed;
        await using (SparkplugTarget node = scene.Node())
        {
            await scene.DeliverAsync(node, scene.Scan(One, 0, 1.5, 2.5, 3.5), scene.Scan(One, 1, 12), scene.Scan(Two, 0, 7));
            await scene.DeliverAsync(node, Spoil(scene.Scan(One, 0, 1.75, 2.25, 3.25)));
            FeedItem[] events = scene.Events();
            Assert.Equal(Delivery.Confirmed, await node.DeliverAsync(new FeedBatch("events", events, 3), TestContext.Current.CancellationToken));
            await scene.RequestAsync(births: 2);
            for (int n = 0; n < 260; n++)
            {
                await scene.DeliverAsync(node, scene.Scan(One, 0, n, n + 0.25, n + 0.5)); // the number of messages goes round
            }

            await scene.DeliverAsync(node, scene.Miss(One, 1), scene.State(One, 1, DeviceState.Suspect), scene.Scan(One, 0, 1, 2, 3), scene.State(One, 1, DeviceState.Down));
            await scene.DeliverAsync(node, scene.Scan(One, 0, 4, 5, 6));
            await scene.DeliverAsync(node, historical: true, scene.Scan(One, 0, Past, 7, 8, 9), scene.Scan(One, 1, Past, 10)); // the past of a silent instrument
            await scene.DeliverAsync(node, scene.State(One, 1, DeviceState.Up), scene.Scan(One, 1, 13), scene.Scan(One, 0, 7, 8, 9));
        }

        await using (SparkplugTarget node = scene.Node())
        {
            await scene.DeliverAsync(node, scene.Scan(One, 0, 1, 2, 3));
            FeedItem stored = scene.Scan(One, 0, 21, 22, 23);
            scene.Tap.Cut();
            await scene.Listener.UntilAsync(m => m.Count(x => x.Topic == Topic("NDEATH")) >= 2);
            scene.Pass();
            await scene.DeliverAsync(node, stored, scene.Scan(One, 0, 24, 25, 26));
        }

        return await scene.EndAsync();
    }

    private static async Task<Recording> WrapAsync(bool version5)
    {
        await using Scene scene = await Scene.OpenAsync(version5);
        File.WriteAllText(Path.Combine(scene.Folder, "bdSeq"), "253");
        for (int session = 0; session < 3; session++)
        {
            await using SparkplugTarget node = scene.Node();
            Assert.Null(await node.TendAsync(TestContext.Current.CancellationToken));
        }

        return await scene.EndAsync();
    }

    /// <summary>The steps of the specification's own test of primary hosts.</summary>
    private static async Task<Recording> HostAsync(bool version5)
    {
        await using Scene scene = await Scene.OpenAsync(version5);
        await using (SparkplugTarget node = scene.Node(Host))
        {
            await RefusesAsync();
            await scene.StateAsync("other", true, 500);
            await RefusesAsync();
            await scene.StateAsync(Host, false, 100);
            await RefusesAsync();
            await scene.StateAsync(Host, true, 200);
            await scene.Listener.UntilAsync(m => m.Any(x => x.Topic == Topic("NBIRTH"))); // at once, without being asked
            await scene.DeliverAsync(node, scene.Scan(One, 0, 1, 2, 3));
            await scene.StateAsync(Host, false, 50);
            await scene.SettleAsync();
            await scene.DeliverAsync(node, scene.Scan(One, 0, 4, 5, 6));
            await scene.StateAsync(Host, false, 200);
            await scene.Listener.UntilAsync(m => m.Any(x => x.Topic == Topic("NDEATH")));
            FeedItem stored = scene.Scan(One, 0, 7, 8, 9);
            await RefusesAsync();
            await scene.StateAsync(Host, true, 150);
            await RefusesAsync();
            scene.Pass();
            await scene.StateAsync(Host, true, 300);
            await scene.Listener.UntilAsync(m => m.Count(x => x.Topic == Topic("NBIRTH")) >= 2);
            await scene.DeliverAsync(node, stored, scene.Scan(One, 0, 10, 11, 12));

            async Task RefusesAsync()
            {
                await scene.SettleAsync();
                Assert.Equal("The host application scada is not online.", await node.TendAsync(TestContext.Current.CancellationToken));
            }
        }

        return await scene.EndAsync();
    }

    private static async Task<Recording> WalkAsync(bool version5)
    {
        await using Scene first = await Scene.OpenAsync(version5);
        await using Scene second = await Scene.OpenAsync(version5, first);
        await first.StateAsync(Host, true, 100);
        await second.StateAsync(Host, true, 90);
        await using (SparkplugTarget node = first.Node(Host, second))
        {
            await first.DeliverAsync(node, first.Scan(One, 0, 1, 2, 3));
            await first.StateAsync(Host, false, 100);
            await first.Listener.UntilAsync(m => m.Any(x => x.Topic == Topic("NDEATH")));
            await second.Listener.UntilAsync(m => m.Any(x => x.Topic == Topic("NBIRTH")));
            await first.DeliverAsync(node, first.Scan(One, 0, 4, 5, 6));
            await second.Listener.UntilAsync(m => m.Any(x => x.Topic.Contains("/DDATA/", StringComparison.Ordinal)));
            await first.StateAsync(Host, true, 120);
            second.Broker.Kill();
            await second.Tap.DisposeAsync();
            first.Pass();
            await first.DeliverAsync(node, first.Scan(One, 0, 7, 8, 9));
        }

        return await first.EndAsync();
    }

    private static async Task<Recording> TwinsAsync(bool version5)
    {
        await using Scene scene = await Scene.OpenAsync(version5);
        await using (SparkplugTarget node = scene.Node(), twin = scene.Twin())
        {
            await scene.DeliverAsync(node, scene.Scan(One, 0, 1, 2, 3));
            await scene.DeliverAsync(twin, scene.Scan(One, 0, 4, 5, 6));
            await scene.DeliverAsync(node, scene.Scan(One, 0, 7, 8, 9));
            await scene.DeliverAsync(twin, scene.Scan(One, 0, 10, 11, 12));
        }

        return await scene.EndAsync();
    }

    private static ScanItem Spoil(FeedItem item)
    {
        var scan = (ScanItem)item;
        scan.Readings[1] = Reading.Bad(scan.Time, QualityReason.OpenCircuit);
        scan.Readings[2] = scan.Readings[2] with { Quality = SignalQuality.Uncertain(QualityReason.Spike) };
        return scan;
    }

    private static CellDefinition Cell(int number, params (string Id, string[] Channels)[] devices) => new()
    {
        Number = number,
        Name = $"Line {number}",
        Carriers = ["A"],
        Devices = [.. devices.Select(d => new DeviceDefinition(d.Id, d.Id, TimeSpan.FromMilliseconds(100), d.Channels))],
        Channels = [.. devices.SelectMany(d => d.Channels.Select(c => new ChannelDefinition
        {
            Id = c, Name = c, Role = ChannelRole.Product, Carrier = "A", Device = d.Id, Point = c, Conversion = new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius },
        }))],
    };
}
