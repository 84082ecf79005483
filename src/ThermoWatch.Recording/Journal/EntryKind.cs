namespace ThermoWatch.Recording.Journal;

/// <summary>First byte of an entry's content. The codes stand in files: never renumber, only append.</summary>
internal enum EntryKind : byte
{
    /// <summary>A scan that stands for itself.</summary>
    FullScan = 1,

    /// <summary>A scan as its difference from the device's scan before it.</summary>
    ScanStep = 2,

    /// <summary>A second without any input.</summary>
    Tick = 3,

    /// <summary>A device's connection changed.</summary>
    DeviceState = 4,

    /// <summary>Any other input: its type's name, then JSON.</summary>
    Json = 5,

    /// <summary>State of the engine.</summary>
    Snapshot = 6,

    /// <summary>Entries that could not be recorded.</summary>
    Gap = 7,

    /// <summary>Not an entry: a place where reading can begin, as no scan after it leans on one before it.</summary>
    Mark = 127,
}
