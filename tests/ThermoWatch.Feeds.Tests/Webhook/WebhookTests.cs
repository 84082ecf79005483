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
    private static readonly AlarmEvent Alarm = new(Sample.TimeOf(10), "tooHot/tc1", "tooHot", "tc1", AlarmState.Unacknowledged, false, 251, 245, 12) { Figure = "peakTemperature", Signal = AlarmSignal.ConditionActive };

    private static FeedBatch Batch => new("events", [new RunItem(Run with { End = null, Verdict = null }, Run.Start), new AlarmItem(1, Alarm, Sample.Cell()), new RunItem(Run, Run.End!.Value)], 3);

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

        // For people in words, for programs by name.
        JsonElement alarm = events[1].GetProperty("data"), german = alarm.GetProperty("de");
        Assert.Equal(("tooHot", "peakTemperature", "degC", "conditionActive"), (
            alarm.GetProperty("condition").GetString(), alarm.GetProperty("figure").GetString(), alarm.GetProperty("unit").GetString(), alarm.GetProperty("signal").GetString()));
        Assert.Equal("Joint 1 has reached 251\u00a0°C, 6\u00a0K above its peak limit of 245\u00a0°C.", alarm.GetProperty("what").GetString());
        Assert.Equal("Joint 1 hat 251\u00a0°C erreicht, 6\u00a0K über der Spitzengrenze von 245\u00a0°C.", german.GetProperty("what").GetString());
        Assert.All((string[])["where", "consequence", "action"], part => Assert.NotEqual("", alarm.GetProperty(part).GetString()));
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
