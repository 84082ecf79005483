using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <content>Snapshots: the whole state, so that a restart goes on as if it had not happened.</content>
public sealed partial class CellEngine
{
    private const int SnapshotVersion = 7;

    /// <summary>Writes the whole state.</summary>
    /// <param name="writer">Where to.</param>
    public void Save(BinaryWriter writer)
    {
        ArgumentNullException.ThrowIfNull(writer);
        writer.Write(SnapshotVersion);
        writer.Write(Wiring);
        writer.Write(_nextRunNumber);
        writer.Write(_now.UtcTicks);
        _converter.Save(writer);
        foreach (Reading reading in _readings)
        {
            writer.Write(reading.Time.UtcTicks);
            writer.Write(reading.Value);
            writer.Write((int)reading.Quality.Level);
            writer.Write((int)reading.Quality.Reason);
        }

        Array.ForEach(_channels, c => c.Save(writer));
        Array.ForEach(_devices, d => d.Save(writer));
        Array.ForEach(_signals, s => s?.Save(writer));
        _vacuum.Save(writer);
        _vapour?.Save(writer);
        writer.Write(_ownerless);
        Array.ForEach(_carriers, c => c.Save(writer));
        _alarms.Save(writer);
    }

    /// <summary>The engine that <see cref="Save"/> wrote.</summary>
    /// <param name="cell">The cell as it was defined then.</param>
    /// <param name="reader">Where the state begins.</param>
    /// <exception cref="InvalidDataException">Written by a version that this one cannot read, or for another wiring.</exception>
    public static CellEngine Restore(CellDefinition cell, BinaryReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        int version = reader.ReadInt32();
        if (version != SnapshotVersion)
        {
            throw new InvalidDataException($"The snapshot has version {version}; this program reads version {SnapshotVersion}.");
        }

        var engine = new CellEngine(cell);
        if (reader.ReadString() != engine.Wiring)
        {
            throw new InvalidDataException("The snapshot was written for another wiring of the cell.");
        }

        engine.Load(reader);
        return engine;
    }

    /// <summary>What the state's form depends on: what is wired, and for whom.</summary>
    private string Wiring => string.Join(
        '\n', _cell.Carriers.Concat(_cell.Devices.Select(d => d.Id)).Concat(_cell.Channels.Select(c => $"{c.Id} {c.Role} {c.Carrier} {c.Signal}")));

    private void Load(BinaryReader reader)
    {
        _nextRunNumber = reader.ReadInt64();
        _now = new Timestamp(reader.ReadInt64());
        _converter.Load(reader);
        foreach (ref Reading reading in _readings.AsSpan())
        {
            var time = new Timestamp(reader.ReadInt64());
            double value = reader.ReadDouble();
            reading = new Reading(time, value, new SignalQuality((Quality)reader.ReadInt32(), (QualityReason)reader.ReadInt32()));
        }

        Array.ForEach(_channels, c => c.Load(reader));
        Array.ForEach(_devices, d => d.Load(reader));
        Array.ForEach(_signals, s => s?.Load(reader));
        _vacuum.Load(reader);
        _vapour?.Load(reader);
        _ownerless = reader.ReadBoolean();
        Array.ForEach(_carriers, c => c.Load(reader, _vacuum.Current));
        _alarms.Load(reader);
    }
}
