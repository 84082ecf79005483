namespace ThermoWatch.Feeds.Sparkplug;

/// <summary>A device of the edge node, its metrics, and whether hosts have been told that it lives.</summary>
/// <param name="id">Its level of the topic.</param>
internal sealed class SparkplugDevice(string id)
{
    private readonly Dictionary<string, SparkplugValue> _byKey = [];
    private readonly HashSet<string> _names = new(StringComparer.OrdinalIgnoreCase);
    private readonly List<SparkplugValue> _metrics = [];

    public string Id => id;

    public IReadOnlyList<SparkplugValue> Metrics => _metrics;

    /// <summary>Whether the record says that it answers; one that nobody has heard of yet is taken to.</summary>
    public bool Answers { get; set; } = true;

    /// <summary>Whether its birth was told, and no death since.</summary>
    public bool IsBorn { get; set; }

    /// <summary>Values from before this were measured before its birth; ms since 1970.</summary>
    public ulong BornMs { get; set; } = ulong.MaxValue;

    public SparkplugValue this[string key] => _byKey[key];

    /// <summary>Takes in a metric unless it is known.</summary>
    /// <param name="key">What we call it.</param>
    /// <param name="name">What it is to be called; changed if another one has that name but for upper and lower case.</param>
    /// <param name="type">Its datatype.</param>
    /// <param name="nextAlias">Number of the next alias of the node; counted on.</param>
    /// <returns>Whether it is new.</returns>
    public bool Learn(string key, string name, SparkplugType type, ref ulong nextAlias)
    {
        if (_byKey.ContainsKey(key))
        {
            return false;
        }

        string own = Distinct(name, _names);
        var metric = new SparkplugValue(own, nextAlias++, type);
        _byKey.Add(key, metric);
        _metrics.Add(metric);
        return true;
    }

    /// <summary>The name, or with a number behind it if one that differs by upper and lower case only is taken; and takes it.</summary>
    public static string Distinct(string name, HashSet<string> taken)
    {
        string own = name;
        for (int n = 2; !taken.Add(own); n++)
        {
            own = FormattableString.Invariant($"{name}_{n}");
        }

        return own;
    }
}

/// <summary>A metric of a device and its newest value.</summary>
/// <param name="name">Its name, said in births only.</param>
/// <param name="alias">Its number, unique in the node.</param>
/// <param name="type">Its datatype.</param>
internal sealed class SparkplugValue(string name, ulong alias, SparkplugType type)
{
    private const int StaleQuality = 500;

    private SparkplugMetric? _last;

    public ulong Alias => alias;

    /// <summary>Takes a value that is not of the past.</summary>
    public void Take(SparkplugMetric value)
    {
        if (_last is null || value.TimestampMs >= _last.TimestampMs)
        {
            _last = value;
        }
    }

    /// <summary>As a birth tells it.</summary>
    /// <param name="nowMs">Time of a value that there is none of.</param>
    /// <param name="stale">Whether the device is silent: the last value then says so.</param>
    public SparkplugMetric InBirth(ulong nowMs, bool stale)
    {
        SparkplugMetric value = _last ?? new SparkplugMetric { IsNull = true, TimestampMs = nowMs };
        return value with
        {
            Name = name,
            Alias = alias,
            Datatype = (uint)type,
            IsHistorical = false,
            Properties = stale ? [new("Quality", StaleQuality, null)] : value.Properties,
        };
    }
}
