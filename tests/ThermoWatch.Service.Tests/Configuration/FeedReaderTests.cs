using System.Text.Json;
using System.Text.Json.Nodes;
using Json.Schema;
using ThermoWatch.Acquisition;
using ThermoWatch.Feeds;
using ThermoWatch.Service.Configuration;
using ThermoWatch.Tests;

namespace ThermoWatch.Service.Tests.Configuration;

/// <summary>Feeds in the configuration: what is taken, and what is said of what is not.</summary>
public sealed class FeedReaderTests
{
    private static readonly string SourceFolder = Path.Combine(Repository.Root, "src", "ThermoWatch.Service");
    private static readonly JsonSchema Schema = JsonSchema.FromText(File.ReadAllText(Path.Combine(SourceFolder, "Configuration", "thermowatch.schema.json")));

    /// <summary>A feed of each kind with everything that it can be told.</summary>
    public static TheoryData<string> Whole =>
    [
        """
        { "id": "historian", "kind": "influx", "url": "https://historian:8086", "version": 2, "bucket": "plant", "organisation": "works",
          "token": { "environment": "HISTORIAN_TOKEN" }, "compress": false, "precision": "us", "cells": [1], "eventsOnly": false, "fromBeginning": true,
          "batchReadings": 1000, "period_ms": 50, "timeout_s": 5, "longestWait_s": 60, "alarmAfter_s": 30, "liveFirstAfter_s": 600, "backfillReadings_per_s": 50000,
          "names": { "prefix": "solder_", "value": "v", "quality": "q", "qualityAs": "tag", "tags": { "site": "Hall 2" } } }
        """,
        """
        { "id": "broker", "kind": "mqtt", "host": "broker", "port": 8883, "mqtt": "3.1.1", "clientId": "cell1", "user": "feed", "password": { "file": "secrets/broker" },
          "tls": true, "authority": "ca.pem", "certificate": "me.pem", "key": "me.key", "window": 20, "topic": "plant/hall2", "eventsOnly": true }
        """,
        """{ "id": "host", "kind": "sparkplug", "host": "broker", "group": "plant", "node": "hall2", "primaryHost": "scada", "otherHosts": ["broker2", "broker3:1884"] }""",
        """{ "id": "mes", "kind": "webhook", "url": "https://mes/events", "token": { "environment": "MES" }, "authority": "ca.pem", "source": "/plant/hall2" }""",
        """{ "id": "old", "kind": "influx", "url": "http://historian:8086", "version": 1, "bucket": "plant", "user": "feed", "token": { "file": "secrets/historian" } }""",
    ];

    [Theory]
    [MemberData(nameof(Whole))]
    public async Task A_whole_feed_is_taken_and_fits_the_schema(string feed)
    {
        ConfigurationResult result = Read(feed);
        Assert.Empty(result.Faults);
        FeedConfiguration read = Assert.Single(result.Node!.Feeds);
        await using IFeedTarget target = read.Target(new FeedContext([result.Node.Cells[0].Definition], Path.GetTempPath(), TimeProvider.System));
        Assert.Equal(JsonNode.Parse(feed)!["kind"]!.GetValue<string>(), target.Kind);
        Assert.True(Schema.Evaluate(JsonSerializer.SerializeToElement(Configuration(feed))).IsValid);
    }

    [Theory]
    [InlineData("""{ "id": "a b", "kind": "influx", "url": "http://h", "bucket": "b" }""", "feeds[0].id", "is \"a b\"")]
    [InlineData("""{ "id": "a", "kind": "post", "url": "http://h", "bucket": "b" }""", "feeds[0].kind", "is \"post\"")]
    [InlineData("""{ "id": "a", "kind": "influx", "url": "historian", "bucket": "b" }""", "feeds[0].url", "is \"historian\"")]
    [InlineData("""{ "id": "a", "kind": "influx", "url": "http://me:secret@h", "bucket": "b" }""", "feeds[0].url", "holds a user or a password")]
    [InlineData("""{ "id": "a", "kind": "influx", "url": "http://h", "bucket": "b", "token": "s3cret" }""", "feeds[0].token", "stands here in clear")]
    [InlineData("""{ "id": "a", "kind": "influx", "url": "http://h", "bucket": "b", "token": {} }""", "feeds[0].token", "names neither a variable nor a file")]
    [InlineData("""{ "id": "a", "kind": "influx", "url": "http://h" }""", "feeds[0].bucket", "is missing")]
    [InlineData("""{ "id": "a", "kind": "influx", "url": "http://h", "bucket": "b", "cells": [7] }""", "feeds[0].cells", "names cell 7, which is not there")]
    [InlineData("""{ "id": "a", "kind": "influx", "url": "http://h", "bucket": "b", "names": { "value": "Wert 1" } }""", "feeds[0].names.value", "is \"Wert 1\"")]
    [InlineData("""{ "id": "a", "kind": "sparkplug", "host": "h", "group": "a/b", "node": "n" }""", "feeds[0].group", "is \"a/b\"")]
    [InlineData("""{ "id": "a", "kind": "mqtt", "host": "h", "otherHosts": ["b", "c:99999"] }""", "feeds[0].otherHosts[1]", "is \"c:99999\"")]
    [InlineData("""{ "id": "a", "kind": "mqtt", "host": "h", "topic": "plant/#" }""", "feeds[0].topic", "is \"plant/#\"")]
    [InlineData("""{ "id": "a", "kind": "mqtt", "host": "h", "certificate": "me.pem", "tls": true }""", "feeds[0].key", "is missing")]
    [InlineData("""{ "id": "a", "kind": "influx", "url": "http://h?token=s3cret", "bucket": "b" }""", "feeds[0].url", "holds a query")]
    [InlineData("""{ "id": "a", "kind": "influx", "url": "http://h", "version": 1, "bucket": "b", "user": "u" }""", "feeds[0].token", "is missing")]
    [InlineData("""{ "id": "a", "kind": "mqtt", "host": "mqtt://h" }""", "feeds[0].host", "is \"mqtt://h\"")]
    [InlineData("""{ "id": "a", "kind": "mqtt", "host": "h:1883" }""", "feeds[0].host", "is \"h:1883\"")]
    [InlineData("""{ "id": "a", "kind": "mqtt", "host": "h", "authority": "ca.pem" }""", "feeds[0].authority", "stands beside a connection without encryption")]
    [InlineData("""{ "id": "a", "kind": "sparkplug", "host": "h", "group": "g", "node": "n", "certificate": "me.pem", "key": "me.key" }""", "feeds[0].certificate", "stands beside a connection without encryption")]
    [InlineData("""{ "id": "a", "kind": "webhook", "url": "http://h", "source": "" }""", "feeds[0].source", "is missing")]
    [InlineData("""{ "id": "a", "kind": "influx", "url": "http://h", "bucket": "b", "authority": "ca.pem" }""", "feeds[0].authority", "stands beside an address without encryption")]
    [InlineData("""{ "id": "a", "kind": "influx", "url": "http://h", "bucket": "b", "colour": 1 }""", "feeds[0].colour", "is not a known key")]
    public void A_fault_names_its_place_and_never_a_secret(string feed, string path, string problem)
    {
        ConfigurationResult result = Read(feed);
        Assert.Null(result.Node);
        ConfigurationFault fault = Assert.Single(result.Faults);
        Assert.Equal((path, problem), (fault.Path, fault.Problem));
        Assert.NotEmpty(fault.Remedy);
        Assert.DoesNotContain("s3cret", fault.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void Two_feeds_cannot_share_an_id()
    {
        const string Feed = """{ "id": "a", "kind": "influx", "url": "http://h", "bucket": "b" }""";
        Assert.Equal("feeds[1].id", Assert.Single(Read($"{Feed}, {Feed}").Faults).Path);
    }

    [Theory]
    [InlineData("""{ "id": "a", "kind": "sparkplug", "host": "h", "group": "g", "node": "n" }""", """{ "id": "b", "kind": "sparkplug", "host": "H", "port": 1883, "group": "g", "node": "n" }""", "feeds[1].node")]
    [InlineData("""{ "id": "a", "kind": "mqtt", "host": "h", "clientId": "c" }""", """{ "id": "b", "kind": "sparkplug", "host": "h", "group": "g", "node": "n", "clientId": "c" }""", "feeds[1].clientId")]
    [InlineData("""{ "id": "a", "kind": "sparkplug", "host": "h", "group": "g", "node": "n" }""", """{ "id": "b", "kind": "sparkplug", "host": "i", "group": "g", "node": "n" }""", null)]
    [InlineData("""{ "id": "a", "kind": "sparkplug", "host": "h", "group": "g", "node": "n" }""", """{ "id": "b", "kind": "sparkplug", "host": "h", "group": "k", "node": "n" }""", null)]
    [InlineData("""{ "id": "a", "kind": "mqtt", "host": "h" }""", """{ "id": "b", "kind": "mqtt", "host": "h" }""", null)]
    public void Two_feeds_that_a_broker_or_a_host_could_not_tell_apart_are_refused(string one, string other, string? fault) =>
        Assert.Equal(fault is null ? [] : [fault], Read($"{one}, {other}").Faults.Select(f => f.Path));

    [Fact]
    public async Task Files_of_a_feed_count_from_where_the_configuration_lies()
    {
        string folder = Directory.CreateTempSubdirectory("feeds").FullName;
        try
        {
            const string Feed = """{ "id": "a", "kind": "mqtt", "host": "127.0.0.1", "port": 1, "tls": true, "authority": "trust/ca.pem", "user": "feed", "password": { "file": "broker.secret" } }""";
            string file = Path.Combine(folder, "thermowatch.json");
            File.WriteAllText(file, Configuration(Feed).ToJsonString());
            foreach (string spec in (string[])["traction-board.spec.json", "gate-driver.spec.json"])
            {
                File.Copy(Path.Combine(SourceFolder, "Demo", spec), Path.Combine(folder, spec));
            }

            async Task<string?> Trouble()
            {
                NodeConfiguration node = ConfigurationReader.ReadFile(file, []).Node!;
                await using IFeedTarget target = Assert.Single(node.Feeds).Target(new FeedContext([node.Cells[0].Definition], folder, TimeProvider.System));
                return await target.TendAsync(TestContext.Current.CancellationToken);
            }

            Assert.Contains($"'{folder}/broker.secret'", await Trouble(), StringComparison.Ordinal);
            File.WriteAllText(Path.Combine(folder, "broker.secret"), "s3cret");
            Assert.Contains($"'{folder}/trust/ca.pem'", await Trouble(), StringComparison.Ordinal);
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    [Theory]
    [InlineData("""{ "id": "a", "kind": "influx", "url": "http://h", "bucket": "b", "token": { "environment": "T" } }""", "feeds[0].url")]
    [InlineData("""{ "id": "a", "kind": "influx", "url": "https://h", "bucket": "b", "token": { "environment": "T" } }""", null)]
    [InlineData("""{ "id": "a", "kind": "influx", "url": "http://h", "bucket": "b" }""", null)]
    [InlineData("""{ "id": "a", "kind": "webhook", "url": "http://h", "token": { "environment": "T" } }""", "feeds[0].url")]
    [InlineData("""{ "id": "a", "kind": "webhook", "url": "http://127.0.0.1:80", "token": { "environment": "T" } }""", null)]
    [InlineData("""{ "id": "a", "kind": "mqtt", "host": "h", "user": "u", "password": { "environment": "T" } }""", "feeds[0].tls")]
    [InlineData("""{ "id": "a", "kind": "mqtt", "host": "h", "tls": true, "user": "u", "password": { "environment": "T" } }""", null)]
    [InlineData("""{ "id": "a", "kind": "sparkplug", "host": "localhost", "otherHosts": ["h"], "group": "g", "node": "n", "user": "u", "password": { "environment": "T" } }""", "feeds[0].tls")]
    [InlineData("""{ "id": "a", "kind": "sparkplug", "host": "::1", "group": "g", "node": "n", "user": "u", "password": { "environment": "T" } }""", null)]
    public void A_secret_that_goes_to_another_computer_in_clear_is_said(string feed, string? path)
    {
        ConfigurationResult result = Read(feed);
        Assert.Empty(result.Faults);
        Assert.Equal(path is null ? [] : [(path, "is without encryption, and the feed's secret goes over the network in clear")], result.Node!.Notes.Select(n => (n.Path, n.Problem)));
    }

    [Theory]
    [InlineData("broker")]
    [InlineData("broker_2.plant.example")]
    [InlineData("10.0.0.7")]
    [InlineData("fe80::1")]
    public void A_broker_is_named_or_numbered(string host) =>
        Assert.Empty(Read($$"""{ "id": "a", "kind": "mqtt", "host": "{{host}}" }""").Faults);

    private const string Talker = """{ "id": "logger", "driver": "text", "host": "127.0.0.1", "port": 5021, "format": { "layout": "fields", "fieldCount": 1 }, "points": [{ "id": "t", "field": "0" }] }""";

    [Theory]
    [InlineData("""{ "id": "a", "kind": "influx", "url": "http://h", "bucket": "b" }""", "feeds[0].precision", "is \"ms\", and logger of cell 1 sets its own pace: of scans that come within one of these the target keeps one")]
    [InlineData("""{ "id": "a", "kind": "influx", "url": "http://h", "bucket": "b", "precision": "us", "cells": [1] }""", "feeds[0].precision", "is \"us\", and logger of cell 1 sets its own pace: of scans that come within one of these the target keeps one")]
    [InlineData("""{ "id": "a", "kind": "sparkplug", "host": "h", "group": "g", "node": "n" }""", "feeds[0]", "sends whole milliseconds, as its kind does, and logger of cell 1 sets its own pace: of scans that come within one of these the target keeps one")]
    [InlineData("""{ "id": "a", "kind": "influx", "url": "http://h", "bucket": "b", "precision": "ns" }""", null, null)]
    [InlineData("""{ "id": "a", "kind": "influx", "url": "http://h", "bucket": "b", "eventsOnly": true }""", null, null)]
    [InlineData("""{ "id": "a", "kind": "mqtt", "host": "h" }""", null, null)]
    public void A_precision_that_a_device_may_outrun_is_said_with_place_and_remedy(string feed, string? path, string? problem)
    {
        Assert.Empty(Read(feed).Node!.Notes); // polled devices have 10 ms between two polls
        JsonNode json = Configuration(feed);
        json["cells"]![0]!["devices"]!.AsArray().Add(JsonNode.Parse(Talker));
        json["cells"]![0]!["channels"]!.AsArray().Add(JsonNode.Parse("""{ "id": "extra", "name": "Extra", "role": "product", "place": "joint", "device": "logger", "point": "t", "unit": "degC" }"""));
        ConfigurationResult result = Read(json);
        Assert.Empty(result.Faults);
        if (path is null)
        {
            Assert.Empty(result.Node!.Notes);
            return;
        }

        ConfigurationFault note = Assert.Single(result.Node!.Notes);
        Assert.Equal((path, problem), (note.Path, note.Problem));
        Assert.Contains("\"ns\"", note.Remedy, StringComparison.Ordinal);
    }

    private static JsonNode Configuration(string feeds)
    {
        JsonNode json = JsonNode.Parse(File.ReadAllText(Path.Combine(SourceFolder, "Demo", "thermowatch.json")))!;
        json["feeds"] = JsonNode.Parse($"[{feeds}]");
        return json;
    }

    private static ConfigurationResult Read(string feeds) => Read(Configuration(feeds));

    private static ConfigurationResult Read(JsonNode json) =>
        ConfigurationReader.Read(json.ToJsonString(), [], _ => File.ReadAllBytes(Path.Combine(SourceFolder, "Demo", "traction-board.spec.json")));
}
