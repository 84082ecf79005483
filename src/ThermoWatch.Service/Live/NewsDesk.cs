using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Service.Live;

/// <summary>Gathers what a cell's loop has to tell, until it is told in one go. Of the loop's own task.</summary>
internal sealed class NewsDesk
{
    private readonly CellDefinition _cell;
    private readonly Viewers _viewers;
    private readonly List<ScanFrame> _frames = [];
    private readonly List<ReadingMark> _marks = [];

    public NewsDesk(CellDefinition cell, Viewers viewers)
    {
        _cell = cell;
        _viewers = viewers;
    }

    public void Take(ScanFrame frame) => _frames.Add(frame);

    /// <summary>A reading turned out to be worth less than its frame said.</summary>
    public void Take(SpikeEvent spike) => _marks.Add(LiveMapping.ToLive(_cell.Number, spike.ChannelId, spike.Reading));

    /// <summary>Tells all viewers what was gathered, and the state if there is a new one.</summary>
    public void Tell(CellState? state)
    {
        if (_frames.Count + _marks.Count > 0 || state is not null)
        {
            _viewers.Publish(_cell.Number, new LiveNews([.. _frames], [.. _marks], state));
            _frames.Clear();
            _marks.Clear();
        }
    }
}
