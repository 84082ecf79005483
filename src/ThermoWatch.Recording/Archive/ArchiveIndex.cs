using System.Globalization;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Archive;

/// <summary>Finds the blocks of an archive file by their headers, over damage to the next one.</summary>
internal static class ArchiveIndex
{
    /// <summary>The archive files of a folder in order of their first entry.</summary>
    public static List<(string Path, long FirstSequence)> Files(string folder)
    {
        List<(string Path, long FirstSequence)> files = [];
        foreach (string path in Directory.EnumerateFiles(folder, "*" + ArchiveFileHeader.Extension))
        {
            if (long.TryParse(Path.GetFileNameWithoutExtension(path), NumberStyles.None, CultureInfo.InvariantCulture, out long first))
            {
                files.Add((path, first));
            }
        }

        files.Sort((a, b) => a.FirstSequence.CompareTo(b.FirstSequence));
        return files;
    }

    /// <summary>The blocks of one file.</summary>
    /// <param name="path">The file.</param>
    /// <param name="losses">Takes what is damaged.</param>
    /// <param name="end">Behind the last block; the file may go on with a torn one.</param>
    /// <exception cref="IOException">The file cannot be read.</exception>
    public static List<SealedBlock> Blocks(string path, List<JournalLoss> losses, out long end)
    {
        using var handle = File.OpenHandle(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        long length = RandomAccess.GetLength(handle);
        string name = Path.GetFileName(path);
        List<SealedBlock> blocks = [];
        SealedBlock? cell = null;
        Span<byte> front = stackalloc byte[BlockHeader.Length];
        RandomAccess.Read(handle, front[..ArchiveFileHeader.Length], 0);
        if (ArchiveFileHeader.TryRead(front[..(int)Math.Min(length, ArchiveFileHeader.Length)], out string problem) is null)
        {
            losses.Add(new JournalLoss(name, 0, null, null, $"Damaged header: {problem}. Its blocks are read all the same."));
        }

        end = ArchiveFileHeader.Length;
        while (end < length)
        {
            int got = RandomAccess.Read(handle, front, end);
            if (BlockHeader.TryRead(front[..got]) is { } header && end + header.BlockLength <= length)
            {
                var block = new SealedBlock(path, end, header, cell);
                cell = header.IsCell ? block : cell;
                blocks.Add(block);
                end += header.BlockLength;
                continue;
            }

            if (NextBlock(path, end + 1) is not { } next)
            {
                break;
            }

            losses.Add(new JournalLoss(name, end, null, null, $"Damaged: bytes {end} to {next - 1} are no block."));
            end = next;
        }

        return blocks;
    }

    /// <summary>The bytes of a file from a place on.</summary>
    public static byte[] Tail(string path, long from)
    {
        byte[] bytes = [];
        using var handle = File.OpenHandle(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        if (RandomAccess.GetLength(handle) > from)
        {
            bytes = new byte[RandomAccess.GetLength(handle) - from];
            RandomAccess.Read(handle, bytes, from);
        }

        return bytes;
    }

    /// <summary>Looks for a whole block from a place on; slow, and only needed behind damage.</summary>
    private static long? NextBlock(string path, long from)
    {
        byte[] bytes = File.ReadAllBytes(path);
        for (int at = (int)from; at < bytes.Length;)
        {
            int found = bytes.AsSpan(at).IndexOf("TWB"u8);
            if (found < 0)
            {
                return null;
            }

            at += found;
            if (BlockHeader.TryRead(bytes.AsSpan(at)) is { } header && at + (long)header.BlockLength <= bytes.Length)
            {
                return at;
            }

            at++;
        }

        return null;
    }
}
