using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Engine;

/// <content>What a snapshot keeps of a carrier.</content>
internal sealed partial class CarrierTrack
{
    public void Save(BinaryWriter writer)
    {
        SavedRecords.Write(writer, Spec);
        writer.Write((int)_term);
        SavedRecords.Write(writer, Last);
        writer.Write(FloorTicks);
        writer.Write(_cycles.Count);
        _cycles.ForEach(writer.Write);
        writer.Write(Run is not null);
        Run?.Save(writer);
        foreach (ProductWatch watch in parts.Products)
        {
            watch.Save(writer);
        }
    }

    public void Load(BinaryReader reader, VacuumStep? openStep)
    {
        Spec = SavedRecords.Read<Spec>(reader);
        _term = (SpecTerm)reader.ReadInt32();
        Last = SavedRecords.Read<RunPicture>(reader);
        FloorTicks = reader.ReadInt64();
        for (int n = reader.ReadInt32(); n > 0; n--)
        {
            _cycles.Add(reader.ReadInt64());
        }

        LearnCycle();

        Run = reader.ReadBoolean() ? RunInProgress.Load(reader, openStep) : null;
        foreach (ProductWatch watch in parts.Products)
        {
            watch.Use(Spec);
            watch.Load(reader);
        }
    }

    private void LearnCycle()
    {
        long[] sorted = [.. _cycles.Order()];
        _usualCycle = sorted.Length == 0 ? 0 : sorted[sorted.Length / 2];
    }
}
