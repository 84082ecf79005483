using System.Text;
using System.Text.Json;

namespace ThermoWatch.Feeds;

/// <summary>A line that a target would not take, as it is kept.</summary>
/// <param name="Number">Rises with time; names the line for good.</param>
/// <param name="Time">When the target refused it.</param>
/// <param name="Line">As it was sent.</param>
/// <param name="Words">What the target said.</param>
/// <param name="Precision">By which rule its time was made coarser: sent under another one, it would name another moment.</param>
public sealed record QuarantinedLine(long Number, DateTimeOffset Time, string Line, string Words, string Precision = "");

/// <summary>
/// What a target would not take, in a file of one JSON object a line, oldest first. Only counts are held in memory. All its members may
/// be used by several threads at once.
/// </summary>
public sealed class Quarantine
{
    private const long MostBytes = 8 << 20;
    private static readonly JsonSerializerOptions s_json = new(JsonSerializerDefaults.Web);
    private readonly string _path;
    private readonly Lock _gate = new();
    private long _last;

    /// <param name="path">The file; it may be missing.</param>
    /// <exception cref="IOException">It is there and cannot be read.</exception>
    public Quarantine(string path)
    {
        _path = path;
        foreach (QuarantinedLine line in Lines())
        {
            Count(line);
        }
    }

    /// <summary>Lines kept.</summary>
    public long Kept { get; private set; }

    /// <summary>The oldest of them; null if there is none.</summary>
    public QuarantinedLine? Oldest { get; private set; }

    /// <summary>The newest of them; null if there is none.</summary>
    public QuarantinedLine? Newest { get; private set; }

    /// <summary>Keeps lines. They outlive a power cut when this returns.</summary>
    /// <returns>How many of the oldest had to go for them: half, when the file has grown too long.</returns>
    /// <exception cref="IOException">The disk refuses.</exception>
    public long Add(DateTimeOffset now, IReadOnlyCollection<RejectedLine> lines, string precision)
    {
        lock (_gate)
        {
            long gone = File.Exists(_path) && new FileInfo(_path).Length > MostBytes ? DropOldest(Kept / 2) : 0;
            QuarantinedLine[] added = [.. lines.Select(line => new QuarantinedLine(++_last, now, line.Line, line.Words, precision))];
            using FileStream file = new(_path, FileMode.OpenOrCreate, FileAccess.ReadWrite);
            file.Seek(-Math.Min(1, file.Length), SeekOrigin.End);
            if (file.ReadByte() is not ('\n' or -1))
            {
                file.WriteByte((byte)'\n'); // what a power cut has torn must not take the next line with it
            }

            file.Write(Encoding.UTF8.GetBytes(string.Concat(added.Select(Text))));
            file.Flush(flushToDisk: true);
            Array.ForEach(added, Count);
            return gone;
        }
    }

    /// <summary>Some of the lines, oldest first.</summary>
    /// <param name="after">Number of the last that is not wanted; zero: from the oldest.</param>
    /// <param name="most">How many at most.</param>
    public IReadOnlyList<QuarantinedLine> Read(long after, int most)
    {
        lock (_gate)
        {
            return [.. Lines().Where(line => line.Number > after).Take(most)];
        }
    }

    /// <summary>Takes lines out.</summary>
    /// <returns>How many there were.</returns>
    /// <exception cref="IOException">The disk refuses; all lines are kept.</exception>
    public long Remove(IReadOnlySet<long> numbers)
    {
        lock (_gate)
        {
            return Rewrite(line => !numbers.Contains(line.Number));
        }
    }

    private long DropOldest(long count) => Rewrite(_ => --count < 0);

    private long Rewrite(Func<QuarantinedLine, bool> keeps)
    {
        string draft = _path + ".new";
        List<QuarantinedLine> ends = [];
        long kept = 0, before = Kept;
        using (FileStream file = new(draft, FileMode.Create, FileAccess.Write))
        {
            foreach (QuarantinedLine line in Lines().Where(keeps))
            {
                file.Write(Encoding.UTF8.GetBytes(Text(line)));
                kept++;
                if (ends.Count == 2)
                {
                    ends.RemoveAt(1);
                }

                ends.Add(line);
            }

            file.Flush(flushToDisk: true);
        }

        File.Move(draft, _path, overwrite: true);
        (Kept, Oldest, Newest) = (kept, ends.FirstOrDefault(), ends.LastOrDefault());
        return before - kept;
    }

    private void Count(QuarantinedLine line)
    {
        Oldest ??= line;
        (Newest, _last) = (line, Math.Max(_last, line.Number));
        Kept++;
    }

    /// <summary>A line that a power cut has torn is no line.</summary>
    private IEnumerable<QuarantinedLine> Lines()
    {
        if (!File.Exists(_path))
        {
            yield break;
        }

        long number = 0;
        foreach (string text in File.ReadLines(_path))
        {
            QuarantinedLine? line = null;
            try
            {
                line = JsonSerializer.Deserialize<QuarantinedLine>(text, s_json);
            }
            catch (JsonException)
            {
                // Torn.
            }

            if (line?.Line is not null)
            {
                number = Math.Max(number + 1, line.Number); // lines that were kept before they had numbers get them by their order
                yield return line with { Number = number };
            }
        }
    }

    private static string Text(QuarantinedLine line) => JsonSerializer.Serialize(line, s_json) + "\n";
}
