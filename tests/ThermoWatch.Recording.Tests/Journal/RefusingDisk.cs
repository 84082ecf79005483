using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Tests.Journal;

/// <summary>A real disk that can be told to be full, to write only half, or to hold its flushes back.</summary>
internal sealed class RefusingDisk : IJournalDisk
{
    public bool Full { get; set; }

    public bool FlushFails { get; set; }

    /// <summary>Nothing waits for the disk: for tests that open and close hundreds of journals and cut no power.</summary>
    public bool IsQuick { get; init; }

    /// <summary>Closed: flushes wait at it.</summary>
    public ManualResetEventSlim FlushGate { get; } = new(true);

    public SemaphoreSlim Flushed { get; } = new(0);

    public IJournalFile Open(string path) => Full ? throw NoSpace() : new OpenFile(this, JournalDisk.Instance.Open(path));

    public void SyncFolder(string folder)
    {
        if (!IsQuick)
        {
            JournalDisk.Instance.SyncFolder(folder);
        }
    }

    private static IOException NoSpace() => new("No space left on device");

    private sealed class OpenFile(RefusingDisk disk, IJournalFile file) : IJournalFile
    {
        public void Write(ReadOnlySpan<byte> bytes, long offset)
        {
            if (disk.Full)
            {
                file.Write(bytes[..(bytes.Length / 2)], offset);
                throw NoSpace();
            }

            file.Write(bytes, offset);
        }

        public void GiveBack(long offset, long length) => file.GiveBack(offset, length);

        public void CutTo(long length) => file.CutTo(length);

        public void Flush()
        {
            disk.FlushGate.Wait();
            if (disk.FlushFails)
            {
                throw new IOException("Input/output error");
            }

            if (!disk.IsQuick)
            {
                file.Flush();
            }

            disk.Flushed.Release();
        }

        public void Dispose() => file.Dispose();
    }
}
