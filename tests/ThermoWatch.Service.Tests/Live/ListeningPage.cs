using System.Buffers;
using System.IO.Pipelines;
using System.Text;
using System.Text.Json;
using Microsoft.AspNetCore.Connections;
using Microsoft.AspNetCore.SignalR;
using Microsoft.AspNetCore.SignalR.Protocol;
using Microsoft.Extensions.Logging.Abstractions;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Tests.Live;

/// <summary>The far end of a hub connection that speaks JSON, which reads when the test says so.</summary>
internal sealed class ListeningPage : IAsyncDisposable
{
    private readonly Pipe _toPage;
    private readonly DefaultConnectionContext _connection;

    /// <param name="room">How many bytes the connection takes while nobody reads.</param>
    public ListeningPage(int room = 1 << 20)
    {
        // On the test's own thread: whoever reads lets the server go on, there and then.
        _toPage = new Pipe(new PipeOptions(readerScheduler: PipeScheduler.Inline, writerScheduler: PipeScheduler.Inline, pauseWriterThreshold: room, resumeWriterThreshold: 1, useSynchronizationContext: false));
        _connection = new DefaultConnectionContext($"{Guid.NewGuid()}", new Ends(new Pipe().Reader, _toPage.Writer), new Ends(_toPage.Reader, new Pipe().Writer));
        Server = new HubConnectionContext(_connection, new HubConnectionContextOptions { KeepAliveInterval = TimeSpan.FromHours(1), ClientTimeoutInterval = TimeSpan.FromHours(1) }, NullLoggerFactory.Instance)
        {
            Protocol = new JsonHubProtocol(),
        };
    }

    public HubConnectionContext Server { get; }

    public static ScanFrame Frame(long seq) => new() { Cell = 1, Seq = seq, T = seq * 100.0, Data = [1, 2, 3, 4, 0] };

    public static ReadingMark Mark(long seq) => new() { Cell = 1, Channel = "tc1", T = seq * 100.0, Quality = "uncertain:spike" };

    public static CellState State(long seq) => new() { Cell = 1, Seq = seq, T = seq * 100.0, Runs = [], Alarms = [], HiddenAlarms = [], Devices = [], Filtered = [] };

    public static LiveNews News(long seq, CellState? state = null) => new([Frame(seq)], [], state, lost: false);

    /// <summary>What has come by now, and what follows because it was read: scan 5, mark 4, missed 7, state 6, change 3-6.</summary>
    public string[] Read()
    {
        List<string> told = [];
        while (_toPage.Reader.TryRead(out ReadResult result) && result.Buffer.Length > 0)
        {
            told.AddRange(Words(result));
            _toPage.Reader.AdvanceTo(result.Buffer.End);
        }

        return [.. told];
    }

    /// <summary>What has come once a number of calls has.</summary>
    public async Task<string[]> ReadAsync(int calls, CancellationToken cancellation)
    {
        List<string> told = [];
        while (told.Count < calls)
        {
            ReadResult result = await _toPage.Reader.ReadAsync(cancellation);
            told.AddRange(Words(result));
            _toPage.Reader.AdvanceTo(result.Buffer.End);
        }

        return [.. told];
    }

    public ValueTask DisposeAsync() => _connection.DisposeAsync();

    private static IEnumerable<string> Words(ReadResult result) => Encoding.UTF8.GetString(result.Buffer.ToArray())
        .Split('\u001e', StringSplitOptions.RemoveEmptyEntries).Select(text => Word(JsonDocument.Parse(text).RootElement));

    private static string Word(JsonElement call)
    {
        JsonElement[] told = [.. call.GetProperty("arguments").EnumerateArray()];
        string target = call.GetProperty("target").GetString()!;
        return target switch
        {
            "scan" or "missed" => $"{target} {told[1]}",
            "mark" => $"mark {told[0].GetProperty("t").GetDouble() / 100}",
            "change" => $"change {told[0].GetProperty("after")}-{told[0].GetProperty("seq")}",
            _ => $"{target} {told[0].GetProperty("seq")}",
        };
    }

    private sealed record Ends(PipeReader Input, PipeWriter Output) : IDuplexPipe;
}
