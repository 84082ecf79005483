using System.Runtime.InteropServices;
using Microsoft.Win32.SafeHandles;

namespace ThermoWatch.Recording.Journal;

/// <summary>What a journal asks of the disk. Tests put one in its place that refuses.</summary>
internal interface IJournalDisk
{
    /// <exception cref="IOException">The disk refuses.</exception>
    IJournalFile Open(string path);

    /// <summary>Makes new names in a folder last through a power cut.</summary>
    void SyncFolder(string folder);
}

/// <summary>One open file.</summary>
internal interface IJournalFile : IDisposable
{
    /// <summary>Hands the bytes to the operating system: from then on they outlive this process.</summary>
    void Write(ReadOnlySpan<byte> bytes, long offset);

    /// <summary>Cuts off everything behind a place.</summary>
    void CutTo(long length);

    /// <summary>Makes a stretch zeros and gives its room back, as far as the file system can.</summary>
    void GiveBack(long offset, long length);

    /// <summary>Waits until the disk has all that was written: from then on it outlives a power cut.</summary>
    void Flush();
}

/// <summary>The real disk.</summary>
internal sealed partial class JournalDisk : IJournalDisk
{
    public static JournalDisk Instance { get; } = new();

    public IJournalFile Open(string path) =>
        new OpenFile(File.OpenHandle(path, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.ReadWrite | FileShare.Delete));

    public void SyncFolder(string folder)
    {
        if (!OperatingSystem.IsLinux())
        {
            return; // Windows makes names durable with the file itself
        }

        int handle = OpenFolder(folder, 0);
        if (handle >= 0)
        {
            _ = SyncHandle(handle);
            _ = CloseHandle(handle);
        }
    }

    // .NET refuses to open a folder, and without this a new file may be gone after a power cut, whatever it holds.
    [LibraryImport("libc", EntryPoint = "open", StringMarshalling = StringMarshalling.Utf8)]
    private static partial int OpenFolder(string path, int flags);

    [LibraryImport("libc", EntryPoint = "fsync")]
    private static partial int SyncHandle(int handle);

    [LibraryImport("libc", EntryPoint = "close")]
    private static partial int CloseHandle(int handle);

    // A hole keeps every later block in its place, so that readers beside it need not be told.
    [LibraryImport("libc", EntryPoint = "fallocate", SetLastError = true)]
    private static partial int Allocate(SafeFileHandle file, int mode, long offset, long length);

    private const int KeepSize = 1, PunchHole = 2; // linux/falloc.h

    private sealed class OpenFile(SafeFileHandle handle) : IJournalFile
    {
        public void Write(ReadOnlySpan<byte> bytes, long offset) => RandomAccess.Write(handle, bytes, offset);

        public void CutTo(long length) => RandomAccess.SetLength(handle, length);

        public void GiveBack(long offset, long length)
        {
            if (OperatingSystem.IsLinux() && Allocate(handle, KeepSize | PunchHole, offset, length) == 0)
            {
                return;
            }

            var zeros = new byte[Math.Min(length, 1 << 16)];
            for (long at = 0; at < length; at += zeros.Length)
            {
                RandomAccess.Write(handle, zeros.AsSpan(0, (int)Math.Min(zeros.Length, length - at)), offset + at);
            }
        }

        public void Flush() => RandomAccess.FlushToDisk(handle);

        public void Dispose() => handle.Dispose();
    }
}
