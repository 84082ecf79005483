using System.Globalization;
using System.Security.Cryptography.X509Certificates;
using ThermoWatch.Feeds.Mqtt;
using ThermoWatch.Feeds.Tests.Core;

namespace ThermoWatch.Feeds.Tests.Mqtt;

/// <summary>Who is let in by a broker, and what the feed's state says, word for word, when one is not.</summary>
public sealed class AdmissionTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("feeds").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    private static Broker Encrypted(Mosquitto broker) => new("localhost", broker.TlsPort)
    {
        Tls = true,
        AuthorityFile = broker.File("ca.pem"),
        CertificateFile = broker.File("client.pem"),
        KeyFile = broker.File("client.key"),
    };

    private Feed Feed(Broker broker) => new(
        new FeedOptions("plant") { FromBeginning = true }, [new MemoryLane { End = 1 }], new MqttTarget(broker, "plant"), new FeedFolder(_folder), TimeProvider.System, new Random(1));

    private async Task<(FeedState State, string Reason)> AfterOneStepAsync(Broker broker)
    {
        await using Feed feed = Feed(broker);
        await feed.StepAsync(TestContext.Current.CancellationToken);
        return (feed.Status.State, feed.Status.Reason);
    }

    [Theory]
    [InlineData(true, "NotAuthorized")]
    [InlineData(false, "NotAuthorized")]
    public async Task A_wrong_password_is_a_refusal_and_the_right_one_needs_no_restart(bool version5, string code)
    {
        using Mosquitto broker = await Mosquitto.StartAsync(guarded: true);
        string secret = broker.File("secret");
        File.WriteAllText(secret, "wrong");
        await using var target = new MqttTarget(new Broker("127.0.0.1", broker.Port) { Version5 = version5, User = "feed", Password = new Secret(null, secret) }, "plant");
        FeedBatch batch = new("cell-1", [Sample.Scan(Sample.Cell(), 1)], 1);
        Delivery refused = await target.DeliverAsync(batch, TestContext.Current.CancellationToken);
        Assert.Equal((DeliveryOutcome.Refused, $"The broker does not let us in ({code}): it does not know user \"feed\" with this password. Check user and password of the feed."), (refused.Outcome, refused.Words));
        File.WriteAllText(secret, "s3cret");
        Assert.Equal(Delivery.Confirmed, await target.DeliverAsync(batch, TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task A_broker_that_asks_for_a_user_is_not_told_none_for_long()
    {
        using Mosquitto broker = await Mosquitto.StartAsync(guarded: true);
        Assert.Equal(
            (FeedState.Refused, "The broker does not let us in (NotAuthorized): it asks for a user. Give the feed user and password."),
            await AfterOneStepAsync(new Broker("127.0.0.1", broker.Port)));
    }

    [Fact]
    public async Task Certificates_of_both_sides_let_in()
    {
        using Mosquitto broker = await Mosquitto.StartAsync(guarded: true);
        Assert.Equal((FeedState.Sending, ""), await AfterOneStepAsync(Encrypted(broker)));
    }

    [Fact]
    public async Task A_certificate_of_a_stranger_or_for_another_name_is_refused_with_what_to_do()
    {
        using Mosquitto broker = await Mosquitto.StartAsync(guarded: true);
        Assert.Equal(
            (FeedState.Refused, "No encrypted connection to localhost: the broker's certificate (CN=localhost) is signed by nobody who is trusted here (CN=Test authority). Name the authority's file as authority."),
            await AfterOneStepAsync(Encrypted(broker) with { AuthorityFile = null }));
        Assert.Equal(
            (FeedState.Refused, "No encrypted connection to 127.0.0.1: the broker's certificate (CN=localhost) is not for \"127.0.0.1\". Write the name that it is for as host."),
            await AfterOneStepAsync(Encrypted(broker) with { Host = "127.0.0.1" }));
    }

    [Fact]
    public async Task An_expired_certificate_of_the_broker_is_named_with_its_date()
    {
        using Mosquitto broker = await Mosquitto.StartAsync(guarded: true, expired: "server");
        Assert.Equal(
            (FeedState.Refused, $"No encrypted connection to localhost: the broker's certificate (CN=localhost) has expired: it was valid until {EndOf(broker.File("server.pem"))} UTC. Renew it on the broker."),
            await AfterOneStepAsync(Encrypted(broker)));
    }

    [Fact]
    public async Task An_expired_certificate_of_our_own_is_named_with_its_date()
    {
        using Mosquitto broker = await Mosquitto.StartAsync(guarded: true, expired: "client");
        string file = broker.File("client.pem");
        Assert.Equal((FeedState.Refused, $"Our certificate {file} has expired: it was valid until {EndOf(file)} UTC. Renew it."), await AfterOneStepAsync(Encrypted(broker)));
    }

    [Fact]
    public async Task Files_that_are_missing_or_do_not_belong_together_are_named_before_anybody_is_called()
    {
        using Mosquitto broker = await Mosquitto.StartAsync(guarded: true);
        string none = broker.File("none.pem"), empty = broker.File("empty.pem"), certificate = broker.File("client.pem"), strange = broker.File("server.key");
        File.WriteAllText(empty, "nothing\n");
        Assert.Equal(
            (FeedState.Refused, $"The authority's file cannot be read: Could not find file '{none}'. Name a PEM file that the service's user may read."),
            await AfterOneStepAsync(Encrypted(broker) with { AuthorityFile = none }));
        Assert.Equal(
            (FeedState.Refused, $"The authority's file {empty} holds no certificate. Name a PEM file that does."),
            await AfterOneStepAsync(Encrypted(broker) with { AuthorityFile = empty }));
        (FeedState state, string reason) = await AfterOneStepAsync(Encrypted(broker) with { KeyFile = strange });
        Assert.Equal(FeedState.Refused, state);
        Assert.StartsWith($"Our certificate {certificate} with the key {strange} cannot be used: ", reason, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_port_that_wants_encryption_or_a_certificate_or_none_of_it_is_said()
    {
        using Mosquitto broker = await Mosquitto.StartAsync(guarded: true);
        (FeedState state, string reason) = await AfterOneStepAsync(Encrypted(broker) with { Tls = false });
        Assert.Equal(FeedState.Waiting, state);
        Assert.Matches("^The broker ends the connection before it has let us in \\(.+\\). Check that it takes connections without encryption \\(tls\\) on this port.$", reason);
        (state, reason) = await AfterOneStepAsync(Encrypted(broker) with { Port = broker.Port });
        Assert.Equal(FeedState.Waiting, state);
        Assert.Matches("^The broker ends the connection before it has let us in \\(.+\\). Check that it takes encrypted connections on this port.$", reason);
        // By TLS 1.3 the broker says so after we have begun to speak: its words arrive, or the end of the connection does first.
        (_, reason) = await AfterOneStepAsync(Encrypted(broker) with { CertificateFile = null, KeyFile = null });
        Assert.Matches("the broker asks for a certificate of ours. Give the feed certificate and key.$|on this port, and whether it asks for a certificate of ours.$", reason);
        Assert.Equal(
            (FeedState.Waiting, "The name broker.invalid is not known here. Check how it is written, and this computer's name server."),
            await AfterOneStepAsync(new Broker("broker.invalid", 1883)));
    }

    [Fact]
    public async Task Once_a_broker_has_said_that_it_wants_a_certificate_that_stands_until_it_lets_us_in()
    {
        using Mosquitto broker = await Mosquitto.StartAsync(guarded: true);
        await using var target = new MqttTarget(Encrypted(broker) with { CertificateFile = null, KeyFile = null }, "plant");
        FeedBatch batch = new("cell-1", [Sample.Scan(Sample.Cell(), 1)], 1);
        List<string> said = [];
        for (int attempt = 0; attempt < 40 && said.Count(w => w.EndsWith("Give the feed certificate and key.", StringComparison.Ordinal)) < 3; attempt++)
        {
            said.Add((await target.DeliverAsync(batch, TestContext.Current.CancellationToken)).Words);
        }

        int first = said.FindIndex(w => w.EndsWith("the broker asks for a certificate of ours. Give the feed certificate and key.", StringComparison.Ordinal));
        Assert.True(first >= 0, string.Join(" | ", said.Distinct()));
        Assert.Single(said.Skip(first).Distinct());
    }

    [Fact]
    public async Task A_certificate_that_was_renewed_needs_no_restart()
    {
        using Mosquitto broker = await Mosquitto.StartAsync(guarded: true);
        string good = broker.File("client.pem"), used = broker.File("used.pem");
        File.WriteAllText(used, "not there yet\n");
        await using var target = new MqttTarget(Encrypted(broker) with { CertificateFile = used }, "plant");
        FeedBatch batch = new("cell-1", [Sample.Scan(Sample.Cell(), 1)], 1);
        Assert.Equal(DeliveryOutcome.Refused, (await target.DeliverAsync(batch, TestContext.Current.CancellationToken)).Outcome);
        File.Copy(good, used, overwrite: true);
        Assert.Equal(Delivery.Confirmed, await target.DeliverAsync(batch, TestContext.Current.CancellationToken));
    }

    private static string EndOf(string file)
    {
        using X509Certificate2 certificate = X509CertificateLoader.LoadCertificateFromFile(file);
        return certificate.NotAfter.ToUniversalTime().ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture);
    }
}
