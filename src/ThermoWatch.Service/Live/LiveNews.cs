using Microsoft.AspNetCore.SignalR.Protocol;

namespace ThermoWatch.Service.Live;

/// <summary>What a cell has to tell at one moment. Viewers that know the same are sent one and the same packet.</summary>
internal sealed class LiveNews
{
    private HubPacket? _readings;
    private HubPacket? _whole;
    private (CellState Since, HubPacket Packet)? _change;

    /// <param name="frames">Scans, oldest first.</param>
    /// <param name="marks">On these frames or earlier ones.</param>
    /// <param name="state">How the cell stands after them; null: nothing is said of that now.</param>
    /// <param name="lost">Whether frames are missing after these.</param>
    public LiveNews(ScanFrame[] frames, ReadingMark[] marks, CellState? state, bool lost)
    {
        Frames = frames;
        Marks = marks;
        State = state;
        Lost = lost;
    }

    public ScanFrame[] Frames { get; }

    public ReadingMark[] Marks { get; }

    public CellState? State { get; }

    public bool Lost { get; }

    /// <summary>For whoever is not told of the state; null if there is nothing else.</summary>
    public HubPacket? Readings => Frames.Length + Marks.Length == 0 ? null : _readings ??= new HubPacket(Calls(Frames, Marks));

    /// <summary>With the whole state.</summary>
    public HubPacket Whole => _whole ??= new HubPacket([.. Calls(Frames, Marks), State!.ToCall()]);

    /// <summary>With what is another in the state since the one that the viewer has.</summary>
    public HubPacket Since(CellState since)
    {
        if (_change is not { } known || !ReferenceEquals(known.Since, since))
        {
            known = (since, new HubPacket([.. Calls(Frames, Marks), StateChanges.Once(since, State!).ToCall()]));
            _change = known;
        }

        return known.Packet;
    }

    /// <summary>The calls that tell readings: a mark is on a frame before it.</summary>
    public static IEnumerable<InvocationMessage> Calls(IEnumerable<ScanFrame> frames, IEnumerable<ReadingMark> marks) =>
        frames.Select(LiveCalls.ToCall).Concat(marks.Select(LiveCalls.ToCall));
}
