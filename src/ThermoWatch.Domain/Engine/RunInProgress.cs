using System.Collections.Immutable;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <summary>A run that has begun and not ended.</summary>
internal sealed class RunInProgress(long number, string carrier, long startTicks)
{
    /// <summary>It had begun before anything showed it: times from its start are not known.</summary>
    public const string StartNotSeen = "startNotSeen";

    /// <summary>Before a channel's id: its thermocouple came off in this run.</summary>
    public const string Detached = "detached/";

    public long Number { get; } = number;

    public string Carrier { get; } = carrier;

    public long StartTicks { get; } = startTicks;

    /// <summary>Which rule found its beginning; the machine's word stands above the others, also when it comes after them.</summary>
    public required string StartReason { get; set; }

    public RunKind Kind { get; set; }

    /// <summary>Whether somebody said what it is for: then no sensor changes it.</summary>
    public bool KindSaid { get; set; }

    /// <summary>Number of the machine's recipe; null while it is not known.</summary>
    public int? Recipe { get; set; }

    /// <summary>What the machine counts as its load; null while it is not known.</summary>
    public int? MachineLoad { get; set; }

    /// <summary>Whether a product sensor gave a reading in it.</summary>
    public bool HasProduct { get; set; }

    /// <summary>Whether it is judged by the temperatures of product sensors, and not compared without them.</summary>
    public bool IsMeasured => HasProduct || Kind is RunKind.Profile or RunKind.Verification;

    public List<string> Notes { get; } = [];

    /// <summary>Evacuations that belong to it.</summary>
    public List<VacuumStep> Steps { get; } = [];

    /// <summary>Phases so far.</summary>
    public ImmutableArray<PhaseSpan> Phases { get; set; } = [];

    /// <summary>Names of the phases that have been told, those of the vacuum with the number of their step.</summary>
    public HashSet<string> Told { get; } = [];

    /// <summary>Whether any product channel has passed the soak's start.</summary>
    public bool PassedSoakStart { get; set; }

    /// <summary>Whether the transport's own sensor has passed the soak's start.</summary>
    public bool TransportPassedSoakStart { get; set; }

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
        writer.Write(StartReason);
        writer.Write((int)Kind);
        writer.Write(KindSaid);
        writer.Write(Recipe ?? long.MinValue);
        writer.Write(MachineLoad ?? long.MinValue);
        writer.Write(HasProduct);
        writer.Write(TransportPassedSoakStart);
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
            StartReason = reader.ReadString(),
            Kind = (RunKind)reader.ReadInt32(),
            KindSaid = reader.ReadBoolean(),
            Recipe = ReadNumber(reader),
            MachineLoad = ReadNumber(reader),
            HasProduct = reader.ReadBoolean(),
            TransportPassedSoakStart = reader.ReadBoolean(),
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

    private static int? ReadNumber(BinaryReader reader) => reader.ReadInt64() is var number && number == long.MinValue ? null : (int)number;

    private static void WriteAll<T>(BinaryWriter writer, IReadOnlyCollection<T> items, Action<T> write)
    {
        writer.Write(items.Count);
        foreach (T item in items)
        {
            write(item);
        }
    }
}
