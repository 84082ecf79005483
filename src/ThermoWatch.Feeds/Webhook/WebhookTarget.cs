using System.Net.Http.Headers;
using System.Text.Json;
using ThermoWatch.Feeds.Mqtt;

namespace ThermoWatch.Feeds.Webhook;

/// <summary>Runs, verdicts and alarms as CloudEvents (specification 1.0.2, structured mode, a batch a request) to an address.</summary>
/// <remarks>
/// An event's id is made of what it tells, so the same one sent twice has the same id: whoever keeps ids has each once.
/// Readings are not sent this way.
/// </remarks>
public sealed class WebhookTarget : IFeedTarget
{
    private readonly Uri _url;
    private readonly Secret? _token;
    private readonly string _source;
    private readonly HttpWay _way;

    /// <param name="url">Where to.</param>
    /// <param name="token">Sent as bearer; null: none.</param>
    /// <param name="source">Names this node in events, such as <c>/plant1/line2</c>.</param>
    /// <param name="authorityFile">File of the authority (PEM) that has signed the server's certificate; null: those that the computer trusts.</param>
    public WebhookTarget(Uri url, Secret? token, string source, string? authorityFile = null)
        : this(url, token, source, new HttpWay(authorityFile))
    {
    }

    internal WebhookTarget(Uri url, Secret? token, string source, HttpMessageHandler handler)
        : this(url, token, source, new HttpWay(handler))
    {
    }

    private WebhookTarget(Uri url, Secret? token, string source, HttpWay way) => (_url, _token, _source, _way) = (url, token, source, way);

    /// <inheritdoc/>
    public string Kind => "webhook";

    /// <inheritdoc/>
    public string Address => _url.GetLeftPart(UriPartial.Path);

    /// <inheritdoc/>
    public string PrecisionRule => "the record's 100 ns in full, as RFC 3339 text";

    /// <inheritdoc/>
    public async Task<Delivery> DeliverAsync(FeedBatch batch, CancellationToken stopping)
    {
        ArgumentNullException.ThrowIfNull(batch);
        string token = "";
        if (_token is { } secret && !secret.TryRead(out token, out string problem))
        {
            return Delivery.Refused(problem);
        }

        byte[] body = Events(batch);
        if (body.Length == 0)
        {
            return Delivery.Confirmed;
        }

        using var request = new HttpRequestMessage(HttpMethod.Post, _url) { Content = new ByteArrayContent(body) };
        request.Content.Headers.ContentType = new MediaTypeHeaderValue("application/cloudevents-batch+json", "utf-8");
        if (token.Length > 0)
        {
            request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", token);
        }

        HttpAnswer answer = await _way.SendAsync(request, stopping).ConfigureAwait(false);
        return answer.Status switch
        {
            >= 200 and < 300 => Delivery.Confirmed,
            0 or 408 or 429 or >= 500 => Delivery.Later(answer.Words, answer.RetryAfter),
            // Nothing is thrown away: somebody must look at the other side.
            401 or 403 => Delivery.Refused(answer.WithRemedy("Check the token of the feed.")),
            _ => Delivery.Refused(answer.WithRemedy("Check url of the feed, and that a POST of application/cloudevents-batch+json is taken there.")),
        };
    }

    /// <inheritdoc/>
    public ValueTask DisposeAsync()
    {
        _way.Dispose();
        return ValueTask.CompletedTask;
    }

    private byte[] Events(FeedBatch batch)
    {
        FeedItem[] told = [.. batch.Items.Where(i => i is RunItem or AlarmItem)];
        return told.Length == 0 ? [] : MqttMessages.Write(json =>
        {
            json.WriteStartArray();
            foreach (FeedItem item in told)
            {
                if (item is RunItem run)
                {
                    string what = run.Run.End is null ? "started" : "ended";
                    Write(json, item, "run." + what, FormattableString.Invariant($"cell/{item.Cell}/run/{run.Run.Number}"), FormattableString.Invariant($"run-{item.Cell}-{run.Run.Number}-{what}-{item.Time.UtcTicks}-{run.Run.Verdict}"), () => MqttMessages.WriteRun(json, run.Run));
                }
                else if (item is AlarmItem alarm)
                {
                    Write(json, item, "alarm", FormattableString.Invariant($"cell/{item.Cell}/alarm/{alarm.Alarm.AlarmId}"), FormattableString.Invariant($"alarm-{item.Cell}-{alarm.Alarm.AlarmId}-{item.Time.UtcTicks}-{alarm.Alarm.State}-{alarm.Alarm.Signal}"), () => MqttMessages.WriteAlarm(json, alarm));
                }
            }

            json.WriteEndArray();
        });
    }

    private void Write(Utf8JsonWriter json, FeedItem item, string type, string subject, string id, Action data)
    {
        json.WriteStartObject();
        json.WriteString("specversion", "1.0");
        json.WriteString("id", id);
        json.WriteString("source", _source);
        json.WriteString("type", "thermowatch." + type + ".v1");
        json.WriteString("subject", subject);
        json.WriteString("time", item.Time.ToString());
        json.WriteString("datacontenttype", "application/json");
        json.WritePropertyName("data");
        data();
        json.WriteEndObject();
    }
}
