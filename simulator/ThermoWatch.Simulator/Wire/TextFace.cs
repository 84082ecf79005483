using System.Net;
using System.Net.Sockets;
using System.Text;

namespace ThermoWatch.Simulator.Wire;

/// <summary>An instrument that talks lines, over a TCP socket or a serial line.</summary>
public sealed class TextFace : IAsyncDisposable
{
    private const int LongestQuery = 256;
    private const int LookMs = 20; // how often a talker on a serial line looks for a new sample
    private const double FastestTalk = 10; // lines in the time of one; beyond it a sped-up talker skips samples
    private readonly LiveCell _cell;
    private readonly TextDialect _dialect;
    private readonly TimeProvider _time;
    private readonly IAsyncDisposable _service;

    private TextFace(LiveCell cell, TextDialect dialect, TimeProvider time, Func<TextFace, IAsyncDisposable> start)
    {
        _cell = cell;
        _dialect = dialect;
        _time = time;
        _service = start(this);
    }

    /// <summary>Where it is reached: an address with its port, or what a master opens.</summary>
    public string Name => _service is TcpService tcp ? tcp.Endpoint.ToString() : ((SerialService)_service).Name;

    /// <summary>Begins to listen on an address; port 0 takes a free one.</summary>
    /// <exception cref="SocketException">The port is in use or may not be used.</exception>
    public static TextFace Start(LiveCell cell, IPEndPoint endpoint, TextDialect dialect, TimeProvider time) =>
        new(cell, dialect, time, face => new TcpService(endpoint, dialect == TextDialect.Query ? face.AnswerAsync : face.TalkAsync));

    /// <summary>Begins to serve a serial line, which belongs to the face from now on.</summary>
    public static TextFace Start(LiveCell cell, SerialLine line, TextDialect dialect) =>
        new(cell, dialect, TimeProvider.System, face => new SerialService(line, dialect == TextDialect.Query ? face.Answer : face.Talk));

    /// <summary>Ends it.</summary>
    public ValueTask DisposeAsync() => _service.DisposeAsync();

    private async Task TalkAsync(Socket client, CancellationToken stop)
    {
        TimeSpan said = TimeSpan.MinValue;
        TimeSpan period = SimulatedCell.SamplePeriod / Math.Clamp(_cell.Speed, 1, FastestTalk);
        using var timer = new PeriodicTimer(period, _time);
        do
        {
            (LineState line, byte[] text) = NextLine(ref said);
            if (line == LineState.Cut)
            {
                return;
            }

            await TcpService.SendAsync(client, text, stop);
        }
        while (await timer.WaitForNextTickAsync(stop));
    }

    private async Task AnswerAsync(Socket client, CancellationToken stop)
    {
        byte[] buffer = new byte[LongestQuery];
        var asker = new Asker();
        int read;
        while ((read = await client.ReceiveAsync(buffer, stop)) > 0)
        {
            LineState line = CellRegisters.LineOf(_cell);
            if (line == LineState.Cut)
            {
                return;
            }

            await TcpService.SendAsync(client, Replies(asker, buffer.AsSpan(0, read), line), stop);
        }
    }

    private void Talk(SerialLine line, CancellationToken stop)
    {
        TimeSpan said = TimeSpan.MinValue;
        byte[] ignored = new byte[LongestQuery];
        while (!stop.IsCancellationRequested)
        {
            line.Write(NextLine(ref said).Text);
            line.Read(ignored, LookMs); // a talker does not listen, and this is its pause
        }
    }

    private void Answer(SerialLine line, CancellationToken stop)
    {
        byte[] buffer = new byte[LongestQuery];
        var asker = new Asker();
        while (!stop.IsCancellationRequested)
        {
            int read = line.Read(buffer, 5 * LookMs);
            line.Write(Replies(asker, buffer.AsSpan(0, read), CellRegisters.LineOf(_cell)));
        }
    }

    private (LineState Line, byte[] Text) NextLine(ref TimeSpan said)
    {
        (InstrumentFrame frame, TimeSpan clock, LineState line) = _cell.Look(static c => (c.Instruments, c.InstrumentClock, CellRegisters.StateOf(c.Plant)));
        if (frame.SampledAt == said || line is LineState.Silent or LineState.Cut or LineState.Refusing)
        {
            return (line, []);
        }

        said = frame.SampledAt;
        byte[] text = TextLines.Talk(frame, clock, _dialect);
        if (line == LineState.Garbled)
        {
            Garble.Bytes(text);
        }

        return (line, text);
    }

    private byte[] Replies(Asker asker, ReadOnlySpan<byte> bytes, LineState line)
    {
        InstrumentFrame frame = _cell.Look(static c => c.Instruments);
        byte[] replies = Encoding.ASCII.GetBytes(asker.Hear(bytes, frame));
        if (line == LineState.Garbled)
        {
            Garble.Bytes(replies);
        }

        return line is LineState.Silent or LineState.Cut or LineState.Refusing ? [] : replies;
    }

    // What one asker has said so far of its next query.
    private sealed class Asker
    {
        private readonly StringBuilder _query = new();
        private bool _undefined;

        public string Hear(ReadOnlySpan<byte> bytes, InstrumentFrame frame)
        {
            var replies = new StringBuilder();
            foreach (byte one in bytes)
            {
                if (one != (byte)'\n')
                {
                    _query.Append(_query.Length < LongestQuery ? ((char)one).ToString() : "");
                    continue;
                }

                if (TextLines.Reply(_query.ToString(), frame, ref _undefined) is { } reply)
                {
                    replies.Append(reply).Append('\n');
                }

                _query.Clear();
            }

            return replies.ToString();
        }
    }
}
