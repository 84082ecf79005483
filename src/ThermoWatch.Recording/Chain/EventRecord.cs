using System.Text.Json;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Codecs;

namespace ThermoWatch.Recording.Chain;

/// <summary>A line of the chain of events, as far as it tells of the process.</summary>
/// <param name="Number">Its number, from 1.</param>
/// <param name="Time">When it was written.</param>
/// <param name="Cell">Number of the cell; zero if it tells of none.</param>
/// <param name="Run">The run as it stood then; null if it tells of none.</param>
/// <param name="Alarm">The step of an alarm; null if it tells of none.</param>
public sealed record RecordedEvent(long Number, Timestamp Time, int Cell, RunRow? Run, AlarmEvent? Alarm);

/// <summary>Reads the chain of events beside its writer, in order. Every line is on disk before it is seen here. Not for two threads at once.</summary>
public sealed class EventRecord
{
    private readonly string _path;
    private (long Number, long Offset) _place;

    /// <param name="dataFolder">The data folder of a node.</param>
    public EventRecord(string dataFolder) => _path = Path.Combine(dataFolder, ChainFile.FileName);

    /// <summary>Lines behind a number, in order; one that cannot be read tells of nothing.</summary>
    /// <exception cref="IOException">The file cannot be read.</exception>
    public IEnumerable<RecordedEvent> ReadAfter(long number)
    {
        if (!File.Exists(_path))
        {
            yield break;
        }

        if (number != _place.Number)
        {
            _place = default;
        }

        foreach ((ReadOnlyMemory<byte> _, ChainLine? line, long end) in ChainFile.Read(_path, _place.Offset))
        {
            if (line is null && !EndsWithLine(end))
            {
                yield break; // caught in the middle of a write
            }

            _place = (line?.Number ?? _place.Number + 1, end);
            if (_place.Number > number)
            {
                yield return line is null ? new RecordedEvent(_place.Number, default, 0, null, null) : Of(line);
            }
        }
    }

    private bool EndsWithLine(long end)
    {
        using var stream = new FileStream(_path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        stream.Position = end - 1;
        return stream.ReadByte() == '\n';
    }

    private static RecordedEvent Of(ChainLine line)
    {
        if (line.Kind == ChainKinds.Run && JsonSerializer.Deserialize<RunRow>(line.Body, RecordJson.Options) is { } run)
        {
            return new RecordedEvent(line.Number, line.Time, run.Cell, run, null);
        }

        if (line.Kind == ChainKinds.Alarm && JsonSerializer.Deserialize<AlarmBody>(line.Body, RecordJson.Options) is { } alarm)
        {
            return new RecordedEvent(line.Number, line.Time, alarm.Cell, null, alarm.ToEvent());
        }

        return new RecordedEvent(line.Number, line.Time, 0, null, null);
    }
}
