using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;

namespace ThermoWatch.Service.Cells;

/// <summary>Tells which readings of a cell's past came from a thermocouple that had come off; a run is lived through again at most once for many who ask.</summary>
internal sealed class DetachedDesk(CellHost host, RunRecorder recorder)
{
    private const int MostKept = 64;

    private readonly Lock _looking = new();
    private readonly Dictionary<long, IReadOnlyList<GapSpan>> _kept = [];

    /// <summary>Those of a run; of one that goes on without an end.</summary>
    /// <exception cref="OperationCanceledException">It was ended early.</exception>
    public IReadOnlyList<GapSpan> Of(RunRow run, CancellationToken gone)
    {
        // What the catalogue does not know the end of, the engine does.
        if (run.End is null)
        {
            return host.Picture.Runs.FirstOrDefault(r => r.Number == run.Number) is { } picture ? DetachedSpans.Among(picture.Gaps, picture.End) : [];
        }

        // One after the other: a page full of people that comes back at once has the run lived through once.
        lock (_looking)
        {
            if (!_kept.TryGetValue(run.Number, out IReadOnlyList<GapSpan>? found))
            {
                found = DetachedSpans.Of(run, host.DefinitionAt(run.FirstSequence), host.ReadFrom, gone);
                if (_kept.Count == MostKept)
                {
                    _kept.Clear();
                }

                _kept[run.Number] = found;
            }

            return found;
        }
    }

    /// <summary>Those of all runs that overlap a span.</summary>
    public IReadOnlyList<GapSpan> Between(Timestamp from, Timestamp to) =>
        [.. recorder.Between(from, to).SelectMany(run => Of(run, CancellationToken.None))];
}
