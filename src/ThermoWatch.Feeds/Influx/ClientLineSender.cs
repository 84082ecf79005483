using System.Text;
using InfluxDB.Client;
using InfluxDB.Client.Api.Domain;
using InfluxDB.Client.Core.Exceptions;

namespace ThermoWatch.Feeds.Influx;

/// <summary>Hands lines over by the awaited write call of InfluxDB.Client: no batching and no retry of its own, so an answer is an answer.</summary>
internal sealed class ClientLineSender : ILineSender
{
    private readonly LineServer _server;
    private readonly WritePrecision _precision;
    private InfluxDBClient? _client;
    private WriteApiAsync? _write;
    private string _token = "";

    public ClientLineSender(LineServer server)
    {
        _server = server;
        _precision = server.Precision switch { LinePrecision.Nanoseconds => WritePrecision.Ns, LinePrecision.Microseconds => WritePrecision.Us, _ => WritePrecision.Ms };
    }

    public string Address => _server.ToString();

    public async Task<HttpAnswer> SendAsync(ReadOnlyMemory<byte> lines, CancellationToken stopping)
    {
        string token = "";
        if (_server.Token is { } secret && !secret.TryRead(out token, out string problem))
        {
            return new HttpAnswer(401, problem);
        }

        try
        {
            // Without its line feed: the client ends the text itself.
            await Write(token).WriteRecordAsync(Encoding.UTF8.GetString(lines.Span[..^1]), _precision, _server.Bucket, _server.Organisation, stopping).ConfigureAwait(false);
            return new HttpAnswer(204, "");
        }
        catch (HttpException fault) when (!stopping.IsCancellationRequested)
        {
            return new HttpAnswer(fault.Status, HttpWay.WordsOf(fault.Message), fault.RetryAfter is int seconds and > 0 ? TimeSpan.FromSeconds(seconds) : null);
        }
        catch (Exception fault) when (fault is HttpRequestException or IOException && !stopping.IsCancellationRequested)
        {
            return new HttpAnswer(0, fault.GetBaseException().Message);
        }
    }

    public void Dispose() => _client?.Dispose();

    private WriteApiAsync Write(string token)
    {
        if (_write is null || token != _token)
        {
            _client?.Dispose();
            var options = new InfluxDBClientOptions(_server.Url.AbsoluteUri) { Timeout = TimeSpan.FromMinutes(5) };
            if (token.Length > 0)
            {
                options.Token = token;
            }

            _client = new InfluxDBClient(options);
            if (_server.Gzip)
            {
                _client.EnableGzip();
            }

            (_write, _token) = (_client.GetWriteApiAsync(), token);
        }

        return _write;
    }
}
