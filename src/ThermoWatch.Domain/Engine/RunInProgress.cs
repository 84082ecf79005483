using System.Collections.Immutable;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <summary>A run that has begun and not ended.</summary>
internal sealed class RunInProgress(long number, string carrier, long startTicks)
{
    public long Number { get; } = number;

    public string Carrier { get; } = carrier;

    public long StartTicks { get; } = startTicks;

    public List<string> Notes { get; } = [];

    /// <summary>Evacuations that belong to it.</summary>
    public List<VacuumStep> Steps { get; } = [];

    /// <summary>Phases so far.</summary>
    public ImmutableArray<PhaseSpan> Phases { get; set; } = [];

    /// <summary>Names of the phases that have been told, those of the vacuum with the number of their step.</summary>
    public HashSet<string> Told { get; } = [];

    /// <summary>Whether any product channel has passed the soak's start.</summary>
    public bool PassedSoakStart { get; set; }

    /// <summary>The most phase levels that any product channel has passed.</summary>
    public int MarksPassed { get; set; }

    /// <summary>Whether any joint is molten.</summary>
    public bool AnyHot { get; set; }

    public void Note(string note)
    {
        if (!Notes.Contains(note))
        {
            Notes.Add(note);
        }
    }

    public void Save(BinaryWriter writer)
    {
        writer.Write(Number);
        writer.Write(Carrier);
        writer.Write(StartTicks);
        writer.Write(PassedSoakStart);
        writer.Write(MarksPassed);
        writer.Write(AnyHot);
        WriteAll(writer, Notes, writer.Write);
        WriteAll(writer, Steps, step => step.Save(writer));
        WriteAll(writer, Told, writer.Write);
        WriteAll(writer, Phases, phase =>
        {
            writer.Write((int)phase.Track);
            writer.Write(phase.Name);
            writer.Write(phase.Start.UtcTicks);
            writer.Write(phase.End?.UtcTicks ?? long.MinValue);
        });
    }

    /// <param name="reader">Where <see cref="Save"/> wrote.</param>
    /// <param name="open">The evacuation that the chamber is in, which a run must share and not copy; null if none.</param>
    public static RunInProgress Load(BinaryReader reader, VacuumStep? open)
    {
        var run = new RunInProgress(reader.ReadInt64(), reader.ReadString(), reader.ReadInt64())
        {
            PassedSoakStart = reader.ReadBoolean(),
            MarksPassed = reader.ReadInt32(),
            AnyHot = reader.ReadBoolean(),
        };
        for (int n = reader.ReadInt32(); n > 0; n--)
        {
            run.Notes.Add(reader.ReadString());
        }

        for (int n = reader.ReadInt32(); n > 0; n--)
        {
            VacuumStep step = VacuumStep.Load(reader);
            run.Steps.Add(step.EndTicks is null && open is not null ? open : step);
        }

        for (int n = reader.ReadInt32(); n > 0; n--)
        {
            run.Told.Add(reader.ReadString());
        }

        var phases = ImmutableArray.CreateBuilder<PhaseSpan>();
        for (int n = reader.ReadInt32(); n > 0; n--)
        {
            var track = (PhaseTrack)reader.ReadInt32();
            string name = reader.ReadString();
            var start = new Timestamp(reader.ReadInt64());
            long end = reader.ReadInt64();
            phases.Add(new PhaseSpan(track, name, start, end == long.MinValue ? null : new Timestamp(end)));
        }

        run.Phases = phases.ToImmutable();
        return run;
    }

    private static void WriteAll<T>(BinaryWriter writer, IReadOnlyCollection<T> items, Action<T> write)
    {
        writer.Write(items.Count);
        foreach (T item in items)
        {
            write(item);
        }
    }
}
