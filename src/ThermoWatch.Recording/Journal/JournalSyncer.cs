namespace ThermoWatch.Recording.Journal;

/// <summary>Brings what was written through a power cut: one flush for all writes of a short while, on a thread that nobody waits for.</summary>
internal sealed class JournalSyncer : IDisposable
{
    private readonly Lock _gate = new();
    private readonly IJournalDisk _disk;
    private readonly string _folder;
    private readonly TimeSpan _after;
    private readonly ITimer _timer;
    private readonly AutoResetEvent _wake = new(false);
    private readonly Thread _thread;
    private readonly List<IJournalFile> _closing = [];
    private readonly List<(long Sequence, TaskCompletionSource<bool> Done)> _waiting = [];
    private IJournalFile? _file;
    private long _written;
    private bool _armed;
    private bool _newNames;
    private bool _stopping;
    private bool _failed;

    public JournalSyncer(IJournalDisk disk, string folder, TimeProvider time, TimeSpan after, long synced)
    {
        (_disk, _folder, _after, _written, SyncedSequence) = (disk, folder, after, synced, synced);
        _timer = time.CreateTimer(_ => _wake.Set(), null, Timeout.InfiniteTimeSpan, Timeout.InfiniteTimeSpan);
        _thread = new Thread(Run) { IsBackground = true, Name = "journal flush" };
        _thread.Start();
    }

    /// <summary>Up to here everything outlives a power cut.</summary>
    public long SyncedSequence
    {
        get => Interlocked.Read(ref field);
        private set => Interlocked.Exchange(ref field, value);
    }

    /// <summary>What the last flush failed with; null if it did not.</summary>
    public string? Problem { get; private set; }

    /// <summary>Whether a flush has failed since this was last asked.</summary>
    public bool TakeFailure()
    {
        lock (_gate)
        {
            bool failed = _failed;
            _failed = false;
            return failed;
        }
    }

    /// <summary>Something was written; sees to it that it is flushed soon.</summary>
    public void Written(IJournalFile file, long sequence)
    {
        lock (_gate)
        {
            (_file, _written) = (file, sequence);
            if (!_armed)
            {
                _armed = true;
                _timer.Change(_after, Timeout.InfiniteTimeSpan);
            }
        }
    }

    /// <summary>A file was made: its name is to be flushed too.</summary>
    public void Made()
    {
        lock (_gate)
        {
            _newNames = true;
        }
    }

    /// <summary>Nothing more will be written to a file: it is flushed and closed.</summary>
    public void Closed(IJournalFile file)
    {
        lock (_gate)
        {
            _closing.Add(file);
            _file = _file == file ? null : _file;
        }

        _wake.Set();
    }

    /// <summary>True once everything written so far outlives a power cut; false if the disk refuses.</summary>
    public Task<bool> SyncAsync()
    {
        lock (_gate)
        {
            if (SyncedSequence >= _written)
            {
                return Task.FromResult(true);
            }

            var done = new TaskCompletionSource<bool>(TaskCreationOptions.RunContinuationsAsynchronously);
            _waiting.Add((_written, done));
            _wake.Set();
            return done.Task;
        }
    }

    /// <summary>Flushes what there is, then ends the thread and closes the files.</summary>
    public void Dispose()
    {
        lock (_gate)
        {
            _stopping = true;
        }

        _wake.Set();
        _thread.Join();
        _timer.Dispose();
        _wake.Dispose();
        _file?.Dispose();
    }

    private void Run()
    {
        for (bool stop = false; !stop;)
        {
            _wake.WaitOne();
            lock (_gate)
            {
                stop = _stopping;
            }

            Flush();
        }
    }

    private void Flush()
    {
        IJournalFile[] closing;
        IJournalFile? file;
        long written;
        bool newNames;
        lock (_gate)
        {
            (closing, file, written, newNames) = ([.. _closing], _file, _written, _newNames);
            _closing.Clear();
            (_armed, _newNames) = (false, false);
        }

        string? problem = null;
        foreach (IJournalFile old in closing)
        {
            problem = Try(old.Flush) ?? problem;
            old.Dispose();
        }

        if (written > SyncedSequence && file is not null)
        {
            problem = Try(file.Flush) ?? problem;
        }

        if (newNames)
        {
            problem = Try(() => _disk.SyncFolder(_folder)) ?? problem;
        }

        lock (_gate)
        {
            Problem = problem;
            _failed |= problem is not null;
            if (problem is null && written > SyncedSequence)
            {
                SyncedSequence = written;
            }

            _waiting.RemoveAll(waiting => waiting.Sequence <= written && waiting.Done.TrySetResult(problem is null));
        }
    }

    private static string? Try(Action flush)
    {
        try
        {
            flush();
            return null;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return fault.Message;
        }
    }
}
