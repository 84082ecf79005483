using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Acquisition;

/// <summary>What every device has, however it is wired.</summary>
public abstract record DeviceOptions
{
    /// <summary>Unique in the cell: letters, digits, hyphen and underscore.</summary>
    public required string Id { get; init; }

    /// <summary>As people call it; the id if left out.</summary>
    public string? Name { get; init; }

    /// <summary>Time from one poll to the next: 10 ms to 1 h. For a device that talks unasked: how often it does.</summary>
    public TimeSpan Period { get; init; } = TimeSpan.FromMilliseconds(100);

    /// <summary>Longest time to wait for a connection: 50 ms to 60 s.</summary>
    public TimeSpan ConnectTimeout { get; init; } = TimeSpan.FromSeconds(3);

    /// <summary>Longest pause between two attempts to reach a device that is away: 0.1 s to 10 min.</summary>
    public TimeSpan RetryCap { get; init; } = TimeSpan.FromSeconds(5);

    /// <summary>Ids of its points in the order of its scans.</summary>
    public abstract IReadOnlyList<string> PointIds { get; }

    /// <summary>For each point where its number can lie; null: anywhere.</summary>
    public abstract IReadOnlyList<PlausibleRange?> Plausible { get; }

    /// <summary>Whether it sets its own pace, so that one scan may follow another at once, however long its period is said to be.</summary>
    public virtual bool HasOwnPace => false;

    /// <summary>As the record sees it.</summary>
    public DeviceDefinition ToDefinition() => new(Id, Name ?? Id, Period, PointIds);

    /// <summary>All that is wrong, each fault with its path below <paramref name="path"/> and a remedy; empty if nothing is.</summary>
    public IReadOnlyList<ConfigurationFault> Validate(string path)
    {
        var check = new OptionsCheck(path);
        check.Id("id", Id);
        check.Span("period", Period, TimeSpan.FromMilliseconds(10), TimeSpan.FromHours(1));
        check.Span("connectTimeout", ConnectTimeout, TimeSpan.FromMilliseconds(50), TimeSpan.FromMinutes(1));
        check.Span("retryCap", RetryCap, TimeSpan.FromMilliseconds(100), TimeSpan.FromMinutes(10));
        if (PointIds.Count == 0) check.Add("points", "There are none.", "Name at least one point to read.");
        foreach (IGrouping<string, int> twice in PointIds.Select((id, at) => (id, at)).GroupBy(p => p.id, p => p.at).Where(g => g.Count() > 1))
            check.Add($"points[{twice.Last()}].id", $"'{twice.Key}' is also the id of points[{twice.First()}].", "Give each point of the device its own id.");
        for (int i = 0; i < PointIds.Count; i++)
            if (Plausible[i] is { } range && !(range.Lowest < range.Highest && double.IsFinite(range.Lowest) && double.IsFinite(range.Highest)))
                check.Add($"points[{i}].plausible", $"{range.Lowest} to {range.Highest} is no range.", "Write the lowest and the highest number that can be, such as [-200, 1372].");
        Check(check);
        return check.Faults;
    }

    /// <summary>Adds what is wrong with this kind of device.</summary>
    internal abstract void Check(OptionsCheck check);
}
