using System.Net;
using System.Text.Json;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Feeds.Webhook;

namespace ThermoWatch.Feeds.Tests.Webhook;

/// <summary>Events against the required attributes of CloudEvents 1.0.2 (id, source, specversion, type) and its JSON batch format.</summary>
public sealed class WebhookTests
{
    private static readonly FedRun Run = new() { Cell = 1, Number = 12, Carrier = "A", Start = Sample.TimeOf(0), End = Sample.TimeOf(3000), Verdict = Verdict.Fail };
    private static readonly AlarmEvent Alarm = new(Sample.TimeOf(10), "tooHot/tc1", "tooHot", "tc1", AlarmState.Unacknowledged, false, 251, 245, 12);

    private static FeedBatch Batch => new("events", [new RunItem(Run with { End = null, Verdict = null }, Run.Start), new AlarmItem(1, Alarm), new RunItem(Run, Run.End!.Value)], 3);

    [Fact]
    public async Task Runs_and_alarms_are_events_and_the_same_event_has_the_same_id()
    {
        var server = new Server(HttpStatusCode.Accepted);
        await using var target = new WebhookTarget(new Uri("https://mes/events"), null, "/plant/hall2", server);
        Assert.Equal(Delivery.Confirmed, await target.DeliverAsync(Batch, TestContext.Current.CancellationToken));
        Assert.Equal(Delivery.Confirmed, await target.DeliverAsync(Batch, TestContext.Current.CancellationToken));
        Assert.Equal("application/cloudevents-batch+json; charset=utf-8", server.ContentTypes[0]);
        JsonElement[] events = [.. JsonSerializer.Deserialize<JsonElement>(server.Bodies[0]).EnumerateArray()];
        Assert.Equal(["thermowatch.run.started.v1", "thermowatch.alarm.v1", "thermowatch.run.ended.v1"], events.Select(e => e.GetProperty("type").GetString()));
        Assert.All(events, e => Assert.Equal(("1.0", "/plant/hall2"), (e.GetProperty("specversion").GetString(), e.GetProperty("source").GetString())));
        Assert.All(events, e => Assert.True(DateTimeOffset.TryParse(e.GetProperty("time").GetString(), out _)));
        Assert.Equal(3, events.Select(e => e.GetProperty("id").GetString()).Distinct().Count());
        Assert.Equal(server.Bodies[0], server.Bodies[1]);
        Assert.Equal("fail", events[2].GetProperty("data").GetProperty("verdict").GetString());
        Assert.Equal("cell/1/alarm/tooHot/tc1", events[1].GetProperty("subject").GetString());
    }

    [Theory]
    [InlineData(HttpStatusCode.ServiceUnavailable, DeliveryOutcome.TryAgain)]
    [InlineData(HttpStatusCode.TooManyRequests, DeliveryOutcome.TryAgain)]
    [InlineData(HttpStatusCode.Unauthorized, DeliveryOutcome.Refused)]
    [InlineData(HttpStatusCode.BadRequest, DeliveryOutcome.Refused)]
    public async Task What_is_not_taken_stays_in_the_backlog(HttpStatusCode status, DeliveryOutcome expected)
    {
        await using var target = new WebhookTarget(new Uri("https://mes/events"), null, "/x", new Server(status));
        Assert.Equal(expected, (await target.DeliverAsync(Batch, TestContext.Current.CancellationToken)).Outcome);
    }

    private sealed class Server(HttpStatusCode status) : HttpMessageHandler
    {
        public List<string> Bodies { get; } = [];

        public List<string> ContentTypes { get; } = [];

        protected override async Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken)
        {
            Bodies.Add(await request.Content!.ReadAsStringAsync(cancellationToken));
            ContentTypes.Add(request.Content.Headers.ContentType!.ToString());
            return new HttpResponseMessage(status);
        }
    }
}
