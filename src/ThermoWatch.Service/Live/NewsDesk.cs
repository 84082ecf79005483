using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Service.Live;

/// <summary>Gathers what a cell's loop has to tell, so that what belongs together leaves together. Of the loop's own task.</summary>
internal sealed class NewsDesk
{
    private readonly int _cell;
    private readonly Audience _audience;
    private readonly List<ScanFrame> _frames = [];
    private readonly List<ReadingMark> _marks = [];

    public NewsDesk(int cell, Audience audience)
    {
        _cell = cell;
        _audience = audience;
    }

    public void Take(ScanFrame frame) => _frames.Add(frame);

    /// <summary>A reading turned out to be worth less than its frame said.</summary>
    public void Take(SpikeEvent spike) => _marks.Add(LiveMapping.ToLive(_cell, spike.ChannelId, spike.Reading));

    /// <summary>Tells all viewers what was gathered, and the state if there is a new one.</summary>
    public void Tell(CellState? state)
    {
        if (_frames.Count + _marks.Count > 0 || state is not null)
        {
            _audience.Tell(_frames, _marks, state);
            _frames.Clear();
            _marks.Clear();
        }
    }
}
