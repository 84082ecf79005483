using System.Globalization;

namespace ThermoWatch.Feeds.Sparkplug;

/// <summary>The number of a session, bdSeq: from 0, one more at each CONNECT, also over restarts; after 255 comes 0.</summary>
/// <param name="folder">Where it outlives a restart.</param>
internal sealed class BirthDeathCount(string folder)
{
    private readonly string _file = Path.Combine(folder, "bdSeq");
    private int? _last, _before;

    /// <summary>The number of the next CONNECT, written down before that is sent.</summary>
    public int Next()
    {
        try
        {
            // If the disk refuses, it is right at least while this process lives.
            _last = File.Exists(_file) && int.TryParse(File.ReadAllText(_file), NumberStyles.None, CultureInfo.InvariantCulture, out int last) ? last : _last;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            // See above.
        }

        _before = _last;
        _last = _last is { } number ? (number + 1) % 256 : 0;
        Write();
        return _last.Value;
    }

    /// <summary>Nobody was there to send it to.</summary>
    public void TakeBack()
    {
        _last = _before;
        Write();
    }

    private void Write()
    {
        try
        {
            Directory.CreateDirectory(Path.GetDirectoryName(_file)!);
            if (_last is { } number)
            {
                File.WriteAllText(_file, number.ToString(CultureInfo.InvariantCulture));
            }
            else
            {
                File.Delete(_file);
            }
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            // See above.
        }
    }
}
