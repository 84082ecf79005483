namespace ThermoWatch.Domain.Engine;

/// <summary>One evacuation of the chamber.</summary>
/// <param name="startTicks">Last falling crossing of the edge before it.</param>
/// <param name="restPressure">Rest pressure before it, mbar.</param>
/// <param name="edge">Pressure at which it begins and ends, mbar.</param>
internal sealed class VacuumStep(long startTicks, double restPressure, double edge)
{
    public long StartTicks { get; } = startTicks;

    public double RestPressure { get; } = restPressure;

    public double Edge { get; } = edge;

    /// <summary>Where it ends; null while it goes on.</summary>
    public long? EndTicks { get; set; }

    /// <summary>Whether the start could lie in a gap, or before the readings that are held.</summary>
    public bool StartUnsure { get; init; }

    /// <summary>Whether the machine's valve said so: then the pressure does not end it.</summary>
    public bool ByValve { get; init; }

    public void Save(BinaryWriter writer)
    {
        writer.Write(StartTicks);
        writer.Write(RestPressure);
        writer.Write(Edge);
        writer.Write(EndTicks ?? long.MinValue);
        writer.Write(StartUnsure);
        writer.Write(ByValve);
    }

    public static VacuumStep Load(BinaryReader reader)
    {
        (long start, double rest, double edge) = (reader.ReadInt64(), reader.ReadDouble(), reader.ReadDouble());
        long end = reader.ReadInt64();
        return new VacuumStep(start, rest, edge) { EndTicks = end == long.MinValue ? null : end, StartUnsure = reader.ReadBoolean(), ByValve = reader.ReadBoolean() };
    }
}

/// <summary>What a pressure reading brought.</summary>
internal enum VacuumFinding
{
    /// <summary>Nothing.</summary>
    Nothing,

    /// <summary>An evacuation was found; its start lies back.</summary>
    Started,

    /// <summary>The evacuation ended.</summary>
    Ended,

    /// <summary>The pressure fell and came back without being an evacuation.</summary>
    Shallow,
}
