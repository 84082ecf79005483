using System.Globalization;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Chain;

/// <summary>The chain of events of a node: what people and the service did, line by line, each leaning on the one before. Only ever appended to.</summary>
internal sealed class ChainFile : IDisposable
{
    /// <summary>Name of the file in the data folder.</summary>
    public const string FileName = "chain.jsonl";

    private const byte LineFeed = (byte)'\n';

    private readonly string _path;
    private readonly IJournalDisk _disk;
    private IJournalFile? _file;
    private bool _refused;

    private ChainFile(string path, IJournalDisk disk) => (_path, _disk) = (path, disk);

    /// <summary>Number of the last line; zero if there is none.</summary>
    public long LastNumber { get; private set; }

    /// <summary>Hash of the last line.</summary>
    public string Head { get; private set; } = ChainLine.NoHash;

    /// <summary>Bytes up to the end of the last line.</summary>
    public long Length { get; private set; }

    /// <summary>What opening found torn or damaged; null if nothing.</summary>
    public string? Loss { get; private set; }

    /// <summary>Opens the chain, or begins one with its first line. Only its end is read.</summary>
    /// <exception cref="IOException">The file cannot be read.</exception>
    public static ChainFile Open(string path, IJournalDisk disk)
    {
        var chain = new ChainFile(path, disk);
        if (File.Exists(path))
        {
            chain.FindEnd();
        }

        return chain;
    }

    /// <summary>Appends a line; it outlives a power cut when this returns.</summary>
    /// <exception cref="IOException">The disk refuses; nothing was appended.</exception>
    public ChainLine Append(Timestamp time, string kind, byte[] body)
    {
        (byte[] bytes, string hash) = ChainLine.Write(LastNumber + 1, time, kind, body, Head);
        bool isNew = _file is null;
        _file ??= _disk.Open(_path);
        if (_refused)
        {
            _file.CutTo(Length); // whatever the refused attempt has left
        }

        _refused = true;
        _file.Write(bytes, Length);
        _file.Flush();
        _refused = false;
        if (isNew)
        {
            _disk.SyncFolder(Path.GetDirectoryName(_path)!);
        }

        (LastNumber, Head, Length) = (LastNumber + 1, hash, Length + bytes.Length);
        return new ChainLine(LastNumber, time, kind, body, hash);
    }

    /// <summary>Makes a chain of these lines at once: all of them are there, or none.</summary>
    /// <exception cref="IOException">The disk refuses; there is no chain.</exception>
    public static void Make(string path, IJournalDisk disk, Timestamp time, IEnumerable<(string Kind, byte[] Body)> lines)
    {
        string draft = path + ".new";
        File.Delete(draft);
        (long number, string head, long length) = (0, ChainLine.NoHash, 0);
        using (IJournalFile file = disk.Open(draft))
        {
            foreach ((string kind, byte[] body) in lines)
            {
                (byte[] bytes, head) = ChainLine.Write(++number, time, kind, body, head);
                file.Write(bytes, length);
                length += bytes.Length;
            }

            file.Flush();
        }

        File.Move(draft, path);
        disk.SyncFolder(Path.GetDirectoryName(path)!);
    }

    /// <summary>The lines from a place on, each with the place behind it; one that cannot be read has no line.</summary>
    public static IEnumerable<(ReadOnlyMemory<byte> Bytes, ChainLine? Line, long End)> Read(string path, long from, long to = long.MaxValue)
    {
        using var stream = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete, 1 << 16);
        stream.Position = from;
        var line = new MemoryStream();
        for (int next; stream.Position < to && (next = stream.ReadByte()) >= 0;)
        {
            if (next != LineFeed)
            {
                line.WriteByte((byte)next);
                continue;
            }

            byte[] bytes = line.ToArray();
            yield return (bytes, ChainLine.TryRead(bytes), stream.Position);
            line.SetLength(0);
        }

        if (line.Length > 0)
        {
            yield return (line.ToArray(), null, stream.Position);
        }
    }

    public void Dispose() => _file?.Dispose();

    private void FindEnd()
    {
        using var handle = File.OpenHandle(_path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        long size = RandomAccess.GetLength(handle);
        byte[] tail = [];
        for (long take = 1 << 16; ; take *= 4)
        {
            tail = new byte[Math.Min(size, take)];
            _ = RandomAccess.Read(handle, tail, size - tail.Length);
            if (tail.Length == size || tail.AsSpan().Count(LineFeed) >= 2)
            {
                break;
            }
        }

        int end = tail.AsSpan().LastIndexOf(LineFeed) + 1;
        Length = size - tail.Length + end;
        if (end < tail.Length)
        {
            CutTail(tail.AsSpan(end));
        }

        if (end == 0)
        {
            return;
        }

        int start = tail.AsSpan(0, end - 1).LastIndexOf(LineFeed) + 1;
        if (ChainLine.TryRead(tail.AsSpan(start, end - 1 - start)) is { } last)
        {
            (LastNumber, Head) = (last.Number, last.Hash);
            return;
        }

        // The last line is damaged: it stays as it is, and the next one gets a number that none before it can have.
        LastNumber = Read(_path, 0, Length).LongCount();
        Loss = $"{FileName}: line {LastNumber} cannot be read. It is left as it is; verify names everything that does not fit.";
    }

    private void CutTail(ReadOnlySpan<byte> torn)
    {
        string aside = string.Create(CultureInfo.InvariantCulture, $"{_path}.cut-{Length}");
        File.WriteAllBytes(aside, torn.ToArray());
        using var handle = File.OpenHandle(_path, FileMode.Open, FileAccess.Write, FileShare.ReadWrite | FileShare.Delete);
        RandomAccess.SetLength(handle, Length);
        Loss = $"{FileName}: the last {torn.Length} bytes are no whole line and were cut off, as after a power cut in the middle of a write.";
    }
}
