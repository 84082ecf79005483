namespace ThermoWatch.Recording.Archive;

/// <summary>What the bytes of an archive file are spent on.</summary>
public static class ArchiveStatistics
{
    /// <summary>Bytes of overviews in one file.</summary>
    /// <exception cref="IOException">The file cannot be read.</exception>
    public static long OverviewBytes(string path) => ArchiveIndex.Blocks(path, [], out _).Sum(block => (long)block.Header.OverviewLength);
}
