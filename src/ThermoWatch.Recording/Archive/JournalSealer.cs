using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Recording.Archive;

/// <summary>Turns closed journal files into sealed blocks, on a thread of its own: a third of the bytes, columns, overviews, and the hash chain.</summary>
internal sealed class JournalSealer : IDisposable
{
    private readonly Lock _sealing = new();
    private readonly SegmentList _segments;
    private readonly CellArchive _archive;
    private readonly TimeProvider _time;
    private readonly Action<JournalSeal>? _sealed;
    private readonly AutoResetEvent _wake = new(false);
    private readonly Thread? _thread;
    private SegmentHeader? _header;
    private volatile bool _stopping;

    public JournalSealer(SegmentList segments, CellArchive archive, TimeProvider time, bool inBackground, Action<JournalSeal>? whenSealed)
    {
        (_segments, _archive, _time, _sealed, Seal) = (segments, archive, time, whenSealed, archive.Seal);
        if (inBackground)
        {
            _thread = new Thread(Run) { IsBackground = true, Priority = ThreadPriority.BelowNormal, Name = "journal sealing" };
            _thread.Start();
        }
    }

    /// <summary>Why the last file could not be sealed; null if none failed. It is tried again with the next.</summary>
    public string? Problem { get; private set; }

    /// <summary>Up to where everything is sealed.</summary>
    public JournalSeal Seal { get; private set; }

    /// <summary>A file was closed, or there may be closed ones.</summary>
    public void Wake() => _wake.Set();

    /// <summary>Seals every closed file; returns how many.</summary>
    public int SealClosed()
    {
        lock (_sealing)
        {
            int count = 0;
            Segment[] all = _segments.All();
            for (int i = 0; i + 1 < all.Length && !_stopping; i++)
            {
                if (all[i].Sealed is null && !all[i].IsDamaged && all[i].FirstSequence > _archive.LastSequence)
                {
                    count += TrySeal(all[i]) ? 1 : 0;
                    if (Problem is not null)
                    {
                        break; // blocks are in order: no later one may go before it
                    }
                }
            }

            return count;
        }
    }

    /// <summary>Ends the thread behind the file it is at.</summary>
    public void Dispose()
    {
        _stopping = true;
        _wake.Set();
        _thread?.Join();
        _wake.Dispose();
    }

    private void Run()
    {
        while (!_stopping)
        {
            SealClosed();
            _wake.WaitOne();
        }
    }

    private bool TrySeal(Segment segment)
    {
        try
        {
            byte[] bytes = File.ReadAllBytes(segment.Path);
            SegmentHeader? header = SegmentHeader.TryRead(bytes, out _, _header);
            _header = header ?? _header;
            var walk = new SegmentWalk(bytes, header?.Length ?? 0, segment.FirstSequence, segment.Name);
            List<SealedBlock>? blocks = header is null ? null
                : _archive.Append(walk, segment.LastSequence, header, Timestamp.From(_time.GetUtcNow()));
            Problem = null;
            if (blocks is null)
            {
                segment.IsDamaged = true; // it stays as it is, with everything in it that can still be read
                return false;
            }

            _segments.Replace(segment, blocks.Select(AsSegment));
            File.Delete(segment.Path);
            Seal = _archive.Seal;
            _sealed?.Invoke(Seal);
            return true;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            Problem = fault.Message;
            return false;
        }
    }

    /// <summary>A sealed block as a piece of the journal.</summary>
    public static Segment AsSegment(SealedBlock block) => new(block.Path, block.Header.FirstSequence)
    {
        Sealed = block,
        LastSequence = block.Header.LastSequence,
        Length = block.Header.BlockLength,
    };
}
