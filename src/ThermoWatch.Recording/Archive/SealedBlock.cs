using Microsoft.Win32.SafeHandles;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Recording.Codecs;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Archive;

/// <summary>A block in an archive file: known by its header, read when it is asked for.</summary>
/// <param name="Path">The file.</param>
/// <param name="Offset">Where in the file.</param>
/// <param name="Header">What it holds.</param>
/// <param name="Cell">The block before it that says how the cell was wired; null if that one is damaged.</param>
internal sealed record SealedBlock(string Path, long Offset, BlockHeader Header, SealedBlock? Cell)
{
    /// <summary>Why there is nothing to be read of a block that was taken out, perhaps a moment ago.</summary>
    public const string Removed = "these entries were taken out of the record; the chain of events says by whom and why";

    private static bool WasRemoved(byte[]? bytes) => bytes is not null && BlockHeader.TryRead(bytes) is { IsRemoved: true };

    private string Name => $"{System.IO.Path.GetFileName(Path)} at byte {Offset}";

    /// <summary>The entries, or null and why there are none.</summary>
    public IEnumerable<JournalEntry>? ReadEntries(out string? problem)
    {
        byte[]? bytes = ReadBytes(out problem);
        IEnumerable<JournalEntry>? entries = bytes is null ? null : BlockCodec.ReadEntries(bytes, Header);
        problem ??= entries is null ? $"{Name}: the block cannot be understood" : null;
        return entries;
    }

    /// <summary>The scans by device, or null and why there are none.</summary>
    public ScanColumns[]? ReadColumns(out string? problem)
    {
        byte[]? bytes = ReadBytes(out problem);
        ScanColumns[]? columns = bytes is null ? null : BlockCodec.ReadColumns(bytes, Header);
        problem ??= columns is null ? $"{Name}: the block cannot be understood" : null;
        return columns;
    }

    /// <summary>How the cell was wired; null if nobody can tell.</summary>
    public CellDefinition? ReadCell() =>
        Header.IsCell
            ? ReadBytes(out _) is { } bytes ? BlockCodec.ReadCell(bytes, Header) : null
            : Cell?.ReadCell();

    /// <summary>What a block of <see cref="BlockHeader.IsCell"/> says, as the JSON that stands there; null if it cannot be read.</summary>
    public byte[]? ReadCellJson() => ReadBytes(out _) is { } bytes ? BlockCodec.ReadCellJson(bytes, Header) : null;

    /// <summary>The whole block with its checksum found right, or null and why not.</summary>
    public byte[]? ReadBytes(out string? problem)
    {
        byte[]? bytes = Read(0, Header.BlockLength, out problem);
        problem ??= Header.Fits(bytes) ? null : WasRemoved(bytes) ? Removed : $"{Name}: the block does not fit its checksum";
        return problem is null ? bytes : null;
    }

    /// <summary>The hash that stands for this block and every byte before it; empty if it cannot be read.</summary>
    public byte[] ReadHash() => Header.RemovedHash ?? Read(Header.BlockLength - BlockHeader.HashLength, BlockHeader.HashLength, out _) ?? [];

    /// <summary>The overview alone, with its checksum found right; or null and why not.</summary>
    /// <param name="file">The file, if the caller has it open: a year has thousands of blocks in few files.</param>
    /// <param name="problem">Why not; null if it was read.</param>
    public byte[]? ReadOverview(SafeFileHandle? file, out string? problem)
    {
        byte[]? bytes = Read(Header.OverviewAt, Header.OverviewLength, out problem, file);
        problem ??= Crc32C.Of(bytes) == Header.OverviewChecksum ? null : WasRemoved(Read(0, BlockHeader.Length, out _, file)) ? Removed : $"{Name}: the overview does not fit its checksum";
        return problem is null ? bytes : null;
    }

    private byte[]? Read(int from, int count, out string? problem, SafeFileHandle? file = null)
    {
        SafeFileHandle? own = null;
        try
        {
            SafeFileHandle handle = file ?? (own = Open());
            var bytes = new byte[count];
            int got = 0;
            for (int read = 1; got < bytes.Length && read > 0; got += read)
            {
                read = RandomAccess.Read(handle, bytes.AsSpan(got), Offset + from + got);
            }

            problem = got < bytes.Length ? $"{Name}: the file ends within the block" : null;
            return problem is null ? bytes : null;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            problem = $"{Name}: {fault.Message}";
            return null;
        }
        finally
        {
            own?.Dispose();
        }
    }

    /// <summary>Opens the file for reading beside everybody else.</summary>
    /// <exception cref="IOException">It cannot be opened.</exception>
    public SafeFileHandle Open() => File.OpenHandle(Path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
}
