namespace ThermoWatch.Feeds;

/// <summary>What a feed does with lines that its target would not take, and what people may ask of them.</summary>
public sealed partial class Feed
{
    private const int LinesAtOnce = 500;
    private readonly HashSet<long> _resend = [];
    private long _seenThrough;

    /// <summary>Lines that the target would not take, oldest first.</summary>
    /// <param name="after">Number of the last that is not wanted; zero: from the oldest.</param>
    /// <param name="most">How many at most.</param>
    public IReadOnlyList<QuarantinedLine> Quarantined(long after, int most) => _folder.Quarantine.Read(after, most);

    /// <summary>Sends lines once more, when nothing live waits. What is taken leaves the quarantine; what is refused again stays, with the new words.</summary>
    /// <param name="numbers">Which; null: all that are there.</param>
    /// <returns>How many that are.</returns>
    /// <remarks>The wish does not outlive a restart; the lines do.</remarks>
    public int SendQuarantinedAgain(IReadOnlyCollection<long>? numbers)
    {
        long[] found = [.. _folder.Quarantine.Read(0, int.MaxValue).Select(line => line.Number).Where(n => numbers?.Contains(n) != false)];
        lock (_gate)
        {
            _resend.UnionWith(found);
        }

        _status = Look();
        return found.Length;
    }

    /// <summary>Throws lines away. The readings that they stand for stay in the record.</summary>
    /// <param name="numbers">Which; null: all that are there.</param>
    /// <returns>How many there were.</returns>
    public long DiscardQuarantined(IReadOnlyCollection<long>? numbers)
    {
        HashSet<long> which = numbers is not null ? [.. numbers] : [.. _folder.Quarantine.Read(0, int.MaxValue).Select(line => line.Number)];
        long gone = _folder.Quarantine.Remove(which);
        lock (_gate)
        {
            _resend.ExceptWith(which);
        }

        _status = Look();
        return gone;
    }

    /// <summary>Somebody has seen what is in the quarantine: it stays there, and is no alarm any more until something is added.</summary>
    public void AcknowledgeQuarantine()
    {
        lock (_gate)
        {
            _seenThrough = _folder.Quarantine.Newest?.Number ?? 0;
            _dirty = true;
        }

        Save();
        _status = Look();
    }

    private QuarantineStatus LookAtQuarantine()
    {
        Quarantine kept = _folder.Quarantine;
        return new QuarantineStatus(kept.Kept, kept.Oldest?.Time, kept.Newest?.Words ?? "", kept.Newest?.Number > _seenThrough, _resend.Count, kept.Newest?.Time);
    }

    private void SetAside(IReadOnlyList<RejectedLine> rejected)
    {
        _rejectedCount += rejected.Count;
        _say($"Feed {_options.Id}: the target will not take {rejected.Count} lines; they are kept in its quarantine. It says: {rejected[0].Words}");
        lock (_gate)
        {
            foreach (RejectedLine line in rejected)
            {
                _rejected.Enqueue(line);
                if (_rejected.Count > KeptRejected)
                {
                    _rejected.Dequeue();
                }
            }
        }

        try
        {
            long gone = _folder.Quarantine.Add(_time.GetUtcNow(), rejected, _target.PrecisionRule);
            if (gone > 0)
            {
                _say($"Feed {_options.Id}: the quarantine is full; its {gone} oldest lines are gone. Their readings stay in the record, and a backfill sends them again.");
            }
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            _say($"Feed {_options.Id}: the quarantine cannot be written: {fault.Message}");
        }
    }

    /// <summary>Sends some of the lines that somebody wants to be sent again.</summary>
    /// <returns>Whether there may be more at once; null if nobody wants any.</returns>
    private async Task<bool?> SendQuarantinedAsync(CancellationToken stopping)
    {
        HashSet<long> wanted;
        lock (_gate)
        {
            wanted = [.. _resend];
        }

        if (wanted.Count == 0)
        {
            return null;
        }

        // A time that was cut by another rule would name another moment: such a line stays, and says so.
        QuarantinedLine[] lines = [.. _folder.Quarantine.Read(0, int.MaxValue).Where(line => wanted.Contains(line.Number)).Take(LinesAtOnce)];
        QuarantinedLine[] fit = [.. lines.Where(line => line.Precision == _target.PrecisionRule)];
        if (fit.Length > 0)
        {
            Delivery delivery = await TryAsync(token => _target.SendAgainAsync([.. fit.Select(line => line.Line)], token), stopping).ConfigureAwait(false);
            if (delivery.Outcome is DeliveryOutcome.TryAgain or DeliveryOutcome.Refused)
            {
                Failed(delivery);
                return false;
            }

            // Those that are refused again come anew, with the words of today.
            _folder.Quarantine.Remove(fit.Select(line => line.Number).ToHashSet());
            if (delivery.Rejected.Count > 0)
            {
                SetAside(delivery.Rejected);
            }

            Well();
        }

        if (fit.Length < lines.Length)
        {
            _say($"Feed {_options.Id}: {lines.Length - fit.Length} lines of the quarantine were made for another time precision and are not sent. A backfill sends their readings; then discard them.");
        }

        lock (_gate)
        {
            // Lines that are not there any more are wanted by nobody.
            _resend.ExceptWith(lines.Length > 0 ? lines.Select(line => line.Number) : wanted);
        }

        return true;
    }
}
