using System.Threading.Channels;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.Extensions.DependencyInjection;

namespace ThermoWatch.EndToEnd.Tests.Support;

/// <summary>An outside program on the live hub.</summary>
internal sealed class LiveClient : IAsyncDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(30);
    private readonly HubConnection _connection;
    private readonly Channel<Frame> _frames = System.Threading.Channels.Channel.CreateUnbounded<Frame>();
    private readonly Channel<State> _states = System.Threading.Channels.Channel.CreateUnbounded<State>();

    private LiveClient(HubConnection connection)
    {
        _connection = connection;
        connection.On<int, long, double, byte[]>("scan", (cell, seq, t, data) => _frames.Writer.TryWrite(new Frame { Cell = cell, Seq = seq, T = t, Data = data }));
        connection.On<State>("state", s =>
        {
            Newest = s;
            _states.Writer.TryWrite(s);
        });
    }

    public Layout Layout { get; private set; } = new();

    /// <summary>The state that watching answered with.</summary>
    public State First { get; private set; } = new();

    /// <summary>The last state that has come since then; null before one has.</summary>
    public State? Newest { get; private set; }

    public static async Task<LiveClient> ConnectAsync(int port)
    {
        HubConnection connection = new HubConnectionBuilder().WithUrl($"http://localhost:{port}/hubs/live").AddMessagePackProtocol().Build();
        var client = new LiveClient(connection);
        await connection.StartAsync();
        client.Layout = await connection.InvokeAsync<Layout>("layout", 1);
        client.First = await connection.InvokeAsync<State>("watch", 1);
        return client;
    }

    public async Task<List<Frame>> SinceAsync(long sequence)
    {
        List<Frame> frames = [];
        Refill refill;
        do
        {
            refill = await _connection.InvokeAsync<Refill>("since", 1, sequence);
            frames.AddRange(refill.Frames);
            sequence = frames.Count > 0 ? frames[^1].Seq : sequence;
        }
        while (refill.More);

        return frames;
    }

    public async Task<Frame> NextFrameAsync()
    {
        using var late = new CancellationTokenSource(Patience);
        return await _frames.Reader.ReadAsync(late.Token);
    }

    /// <summary>Waits for a state that fulfils something, the first one included.</summary>
    public async Task<State> StateWhenAsync(Func<State, bool> wanted, TimeSpan? patience = null)
    {
        State last = First;
        using var late = new CancellationTokenSource(patience ?? Patience);
        try
        {
            while (!wanted(last))
            {
                last = await _states.Reader.ReadAsync(late.Token);
            }
        }
        catch (OperationCanceledException)
        {
            Assert.Fail("The state waited for did not come. Last: " + System.Text.Json.JsonSerializer.Serialize(last));
        }

        return last;
    }

    /// <summary>Does something with an alarm of the cell; the hub's refusal comes as an exception.</summary>
    public Task OrderAsync(string method, params object?[] arguments) => _connection.InvokeCoreAsync(method, [1, .. arguments]);

    public ValueTask DisposeAsync() => _connection.DisposeAsync();
}
