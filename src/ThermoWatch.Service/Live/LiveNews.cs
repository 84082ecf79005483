using Microsoft.AspNetCore.SignalR.Protocol;

namespace ThermoWatch.Service.Live;

/// <summary>What a cell has to tell at one moment. Viewers that know the same are sent one and the same packet.</summary>
internal sealed class LiveNews
{
    private HubPacket? _readings;
    private HubPacket? _whole;
    private (CellState Since, HubPacket? Packet) _change;

    /// <param name="frames">Scans, oldest first.</param>
    /// <param name="marks">On these frames or earlier ones.</param>
    /// <param name="state">How the cell stands after them; null: nothing is said of that now.</param>
    public LiveNews(ScanFrame[] frames, ReadingMark[] marks, CellState? state)
    {
        Frames = frames;
        Marks = marks;
        State = state;
    }

    public ScanFrame[] Frames { get; }

    public ReadingMark[] Marks { get; }

    public CellState? State { get; }

    /// <summary>For whoever is not told of the state.</summary>
    public HubPacket Readings => _readings ??= new HubPacket(Calls(Frames, Marks, null, null, null));

    /// <summary>With the whole state.</summary>
    public HubPacket Whole => _whole ??= new HubPacket(Calls(Frames, Marks, null, State, null));

    /// <summary>With what is another in the state since the one that the viewer has.</summary>
    public HubPacket Since(CellState since)
    {
        if (!ReferenceEquals(_change.Since, since))
        {
            _change = (since, new HubPacket(Calls(Frames, Marks, null, null, StateChanges.Once(since, State!))));
        }

        return _change.Packet!;
    }

    /// <summary>The calls in the order in which a viewer needs them: a mark is on a frame before it, a loss comes after what did not get lost.</summary>
    public static IEnumerable<InvocationMessage> Calls(
        IEnumerable<ScanFrame> frames, IEnumerable<ReadingMark> marks, (int Cell, long After)? missed, CellState? whole, CellChange? change)
    {
        // Four arguments, not an object: its keys would be a sixth of what travels ten times a second.
        IEnumerable<InvocationMessage> calls = frames.Select(f => new InvocationMessage("scan", [f.Cell, f.Seq, f.T, f.Data]))
            .Concat(marks.Select(mark => new InvocationMessage("mark", [mark])))
            .Concat(missed is { } loss ? [new InvocationMessage("missed", [loss.Cell, loss.After])] : []);
        calls = whole is null ? calls : calls.Append(new InvocationMessage("state", [whole]));
        return change is null ? calls : calls.Append(new InvocationMessage("change", [change]));
    }
}
