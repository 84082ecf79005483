using System.Collections.Concurrent;

namespace ThermoWatch.Acquisition.Polling;

/// <summary>Lends a bus's connection to others for the spare time between its polls.</summary>
/// <remarks>
/// The bus's thread stands still while it is lent, so that there is one master at any moment. What is lent ends before the next
/// poll is due: nobody on the line is polled later because somebody else looks at it.
/// </remarks>
internal sealed class LineLoans(TimeProvider time)
{
    /// <summary>Kept free before the next poll.</summary>
    private static readonly TimeSpan Margin = TimeSpan.FromMilliseconds(2);

    /// <summary>Polls that leave no room for so long never will.</summary>
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(10);

    private readonly ConcurrentQueue<LineLoan> _waiting = new();
    private volatile string? _closed;

    /// <summary>Set when somebody asks.</summary>
    public AutoResetEvent Asked { get; } = new(false);

    /// <summary>Waits for the line. Dispose of the loan to give it back.</summary>
    /// <param name="wanted">Longest time of use.</param>
    /// <param name="least">Less is of no use.</param>
    /// <param name="stop">Ends the wait.</param>
    public LineLoan Borrow(TimeSpan wanted, TimeSpan least, CancellationToken stop)
    {
        var loan = new LineLoan(wanted, least, time.GetTimestamp());
        _waiting.Enqueue(loan);
        if (_closed is { } reason) RefuseAll(reason);
        else Asked.Set();
        loan.Await(stop);
        return loan;
    }

    /// <summary>Called by the bus: lends the line if somebody waits and there is room. False if nothing was done.</summary>
    public bool Lend(TimeSpan untilNextPoll)
    {
        if (!_waiting.TryPeek(out LineLoan? loan)) return false;
        TimeSpan spare = untilNextPoll - Margin;
        if (spare < loan.Least)
        {
            if (time.GetElapsedTime(loan.AskedAt) < Patience) return false;
            _waiting.TryDequeue(out _);
            loan.Refuse($"The polls leave no {loan.Least.TotalMilliseconds:0} ms free on the line. Give its devices longer periods, then try again.");
            return true;
        }

        _waiting.TryDequeue(out _);
        loan.Lend(spare < loan.Wanted ? spare : loan.Wanted);
        return true;
    }

    /// <summary>Called by the bus: there is nothing to lend.</summary>
    public void RefuseAll(string reason)
    {
        while (_waiting.TryDequeue(out LineLoan? loan)) loan.Refuse(reason);
    }

    /// <summary>Called by the bus at its end.</summary>
    public void Close()
    {
        _closed = "The line is not polled any more.";
        RefuseAll(_closed); // the event stays: somebody may be about to set it
    }
}

/// <summary>One loan: asked for by one thread, given by the bus's.</summary>
internal sealed class LineLoan(TimeSpan wanted, TimeSpan least, long askedAt) : IDisposable
{
    private const int Waiting = 0, Given = 1, Over = 2;
    private readonly ManualResetEventSlim _decided = new(false), _returned = new(false);
    private int _state;

    public TimeSpan Wanted => wanted;

    public TimeSpan Least => least;

    public long AskedAt => askedAt;

    /// <summary>How long the line may be used; zero if it was not given.</summary>
    public TimeSpan Allowance { get; private set; }

    /// <summary>Why the line was not given; null if it was.</summary>
    public string? Refusal { get; private set; }

    /// <summary>Waits for the bus's word.</summary>
    public void Await(CancellationToken stop)
    {
        try
        {
            _decided.Wait(stop);
        }
        catch (OperationCanceledException) when (Interlocked.CompareExchange(ref _state, Over, Waiting) == Waiting)
        {
            Refusal = "stopped";
        }
        catch (OperationCanceledException)
        {
            _decided.Wait(CancellationToken.None); // given in this very moment
        }
    }

    /// <summary>Gives the line and waits until it is given back.</summary>
    public void Lend(TimeSpan allowance)
    {
        Allowance = allowance;
        if (Interlocked.CompareExchange(ref _state, Given, Waiting) != Waiting) return;
        _decided.Set();
        _returned.Wait();
    }

    public void Refuse(string reason)
    {
        Refusal = reason;
        if (Interlocked.CompareExchange(ref _state, Over, Waiting) == Waiting) _decided.Set();
    }

    /// <summary>Gives the line back.</summary>
    public void Dispose() => _returned.Set();
}
