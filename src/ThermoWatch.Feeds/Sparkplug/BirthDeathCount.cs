using System.Globalization;

namespace ThermoWatch.Feeds.Sparkplug;

/// <summary>The number of a session, bdSeq: from 0, one more at each CONNECT, also over restarts; after 255 comes 0.</summary>
/// <param name="folder">Where it outlives a restart.</param>
internal sealed class BirthDeathCount(string folder)
{
    private readonly string _file = Path.Combine(folder, "bdSeq");
    private int _last = -1;

    public int Next()
    {
        int next = (_last + 1) % 256; // also if the disk refuses: it is right at least while this process lives
        try
        {
            if (File.Exists(_file) && int.TryParse(File.ReadAllText(_file), NumberStyles.None, CultureInfo.InvariantCulture, out int last))
            {
                next = (last + 1) % 256;
            }

            Directory.CreateDirectory(Path.GetDirectoryName(_file)!);
            File.WriteAllText(_file, next.ToString(CultureInfo.InvariantCulture));
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            // See above.
        }

        _last = next;
        return next;
    }
}
