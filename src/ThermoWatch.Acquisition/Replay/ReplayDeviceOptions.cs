namespace ThermoWatch.Acquisition.Replay;

/// <summary>One column of a recording.</summary>
public sealed record ReplayPoint
{
    /// <summary>Unique in the device.</summary>
    public required string Id { get; init; }

    /// <summary>Name in a curve file's header, without the unit in brackets and what follows it; in a record the id of the point.</summary>
    public required string Column { get; init; }

    /// <summary>Where its number can lie, unscaled; null: anywhere.</summary>
    public PlausibleRange? Plausible { get; init; }
}

/// <summary>A recording as a device: for training, demonstrations and tests.</summary>
/// <remarks>At another speed than 1 durations and rates come out by as much shorter or longer: figures then mean nothing.</remarks>
public sealed record ReplayDeviceOptions : DeviceOptions
{
    /// <summary>What is replayed.</summary>
    public required IRecording Recording { get; init; }

    /// <summary>How much faster than recorded: 0.01 to 1000.</summary>
    public double Speed { get; init; } = 1;

    /// <summary>Whether it begins anew after its end.</summary>
    public bool Repeat { get; init; }

    /// <summary>Which columns to give.</summary>
    public required IReadOnlyList<ReplayPoint> Points { get; init; }

    /// <inheritdoc/>
    public override IReadOnlyList<string> PointIds => [.. Points.Select(p => p.Id)];

    /// <inheritdoc/>
    public override IReadOnlyList<PlausibleRange?> Plausible => [.. Points.Select(p => p.Plausible)];

    /// <inheritdoc/>
    public override bool HasOwnPace => true;

    internal override void Check(OptionsCheck check)
    {
        if (Speed is not (>= 0.01 and <= 1000)) check.Add("speed", $"{Speed} is not a speed.", "Use 0.01 to 1000; 1 is as recorded.");
        for (int i = 0; i < Points.Count; i++)
        {
            check.Id($"points[{i}].id", Points[i].Id);
            check.NotEmpty($"points[{i}].column", Points[i].Column, "Write the name of a column in the file's header.");
        }
    }
}
