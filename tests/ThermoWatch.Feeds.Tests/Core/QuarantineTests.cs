namespace ThermoWatch.Feeds.Tests.Core;

/// <summary>Lines that a target would not take: kept, listed, sent again or thrown away, over crashes and torn files.</summary>
public sealed class QuarantineTests
{
    private static readonly RejectedLine[] Three = [new("a value=1 1", "conflict"), new("b value=1 1", "conflict"), new("c value=1 1", "too old")];

    private static async Task<Bench> RefusedAsync()
    {
        var bench = new Bench(new FeedOptions("plant") { FromBeginning = true, SavePeriod = TimeSpan.Zero });
        bench.Lane.End = 3;
        bench.Target.Answer = _ => Delivery.AllBut(Three);
        await bench.RunDryAsync();
        bench.Target.Answer = _ => Delivery.Confirmed;
        return bench;
    }

    private static string[] Kept(Bench bench) => [.. bench.Feed.Quarantined(0, 1000).Select(l => l.Line[..1])];

    [Fact]
    public async Task Refused_lines_are_listed_page_by_page_with_time_and_words_and_are_there_after_a_crash()
    {
        using Bench bench = await RefusedAsync();
        bench.Crash();
        QuarantineStatus status = bench.Feed.Status.Quarantine;
        Assert.Equal((3, bench.Time.GetUtcNow(), "too old", true, 0), (status.Lines, status.Since, status.Words, status.IsNew, status.Resending));
        IReadOnlyList<QuarantinedLine> first = bench.Feed.Quarantined(0, 2), rest = bench.Feed.Quarantined(first[^1].Number, 2);
        Assert.Equal([("a value=1 1", "conflict"), ("b value=1 1", "conflict"), ("c value=1 1", "too old")], first.Concat(rest).Select(l => (l.Line, l.Words)));
        Assert.Equal([1, 2, 3], first.Concat(rest).Select(l => l.Number));
    }

    [Fact]
    public async Task Lines_sent_again_leave_when_they_are_taken_and_stay_with_new_words_when_they_are_not()
    {
        using Bench bench = await RefusedAsync();
        bench.Target.AnswerAgain = lines => Delivery.AllBut([.. lines.Where(l => l[0] == 'b').Select(l => new RejectedLine(l, "still a conflict"))]);
        Assert.Equal(3, bench.Feed.SendQuarantinedAgain(null));
        Assert.Equal(3, bench.Feed.Status.Quarantine.Resending);
        await bench.RunDryAsync();
        Assert.Equal(["a value=1 1", "b value=1 1", "c value=1 1"], bench.Target.SeenAgain);
        Assert.Equal(["b"], Kept(bench));
        Assert.Equal((1, "still a conflict", 0), (bench.Feed.Status.Quarantine.Lines, bench.Feed.Status.Quarantine.Words, bench.Feed.Status.Quarantine.Resending));
    }

    [Fact]
    public async Task Lines_sent_to_a_target_that_is_down_stay_and_go_when_it_is_back_after_what_is_live()
    {
        using Bench bench = await RefusedAsync();
        bench.Target.AnswerAgain = _ => Delivery.Later("connection refused");
        bench.Feed.SendQuarantinedAgain([1, 3]);
        await bench.RunDryAsync();
        Assert.Equal((FeedState.Waiting, "connection refused"), (bench.Feed.Status.State, bench.Feed.Status.Reason));
        Assert.Equal(["a", "b", "c"], Kept(bench));

        bench.Lane.End = 5;
        bench.Target.AnswerAgain = _ => Delivery.Confirmed;
        bench.Target.Confirmed.Clear();
        bench.Target.Order.Clear();
        await bench.LiveAsync(TimeSpan.FromSeconds(5));
        Assert.Equal(["live", "again"], bench.Target.Order);
        Assert.Equal([4L, 5L], bench.Target.Confirmed);
        Assert.Equal(["b"], Kept(bench));
    }

    [Fact]
    public async Task Lines_made_for_another_precision_are_not_sent_because_their_times_would_be_others()
    {
        using Bench bench = await RefusedAsync();
        bench.Target.Rule = "ms";
        bench.Feed.SendQuarantinedAgain(null);
        await bench.RunDryAsync();
        Assert.Empty(bench.Target.SeenAgain);
        Assert.Equal(["a", "b", "c"], Kept(bench));
        Assert.Contains(bench.Said, s => s.Contains("3 lines of the quarantine were made for another time precision", StringComparison.Ordinal));
        Assert.Equal(0, bench.Feed.Status.Quarantine.Resending);
    }

    [Fact]
    public async Task Discarded_lines_are_gone_for_good_and_numbers_are_not_given_twice()
    {
        using Bench bench = await RefusedAsync();
        Assert.Equal(1, bench.Feed.DiscardQuarantined([2, 77]));
        Assert.Equal(["a", "c"], Kept(bench));
        Assert.Equal(2, bench.Feed.DiscardQuarantined(null));
        Assert.Equal((0, null, "", false), (bench.Feed.Status.Quarantine.Lines, bench.Feed.Status.Quarantine.Since, bench.Feed.Status.Quarantine.Words, bench.Feed.Status.Quarantine.IsNew));

        bench.Lane.End = 4;
        bench.Target.Answer = _ => Delivery.AllBut([Three[0]]);
        await bench.RunDryAsync();
        Assert.Equal(4, bench.Feed.Quarantined(0, 10).Single().Number);
    }

    [Fact]
    public async Task Seen_lines_are_no_alarm_any_more_also_after_a_restart_until_more_come()
    {
        using Bench bench = await RefusedAsync();
        bench.Feed.AcknowledgeQuarantine();
        bench.Crash();
        Assert.Equal((3, false), (bench.Feed.Status.Quarantine.Lines, bench.Feed.Status.Quarantine.IsNew));
        bench.Lane.End = 4;
        bench.Target.Answer = _ => Delivery.AllBut([Three[0]]);
        await bench.RunDryAsync();
        Assert.Equal((4, true), (bench.Feed.Status.Quarantine.Lines, bench.Feed.Status.Quarantine.IsNew));
    }

    [Fact]
    public async Task A_torn_last_line_of_the_file_costs_no_other()
    {
        using Bench bench = await RefusedAsync();
        string file = Path.Combine(bench.FolderPath, "quarantine.jsonl");
        byte[] bytes = File.ReadAllBytes(file);
        File.WriteAllBytes(file, bytes[..^9]);
        bench.Crash();
        Assert.Equal(["a", "b"], Kept(bench));
        bench.Lane.End = 4;
        bench.Target.Answer = _ => Delivery.AllBut([Three[2]]);
        await bench.RunDryAsync();
        Assert.Equal(["a", "b", "c"], Kept(bench));
    }

    [Fact]
    public void A_full_quarantine_loses_its_oldest_half_and_says_how_many()
    {
        string folder = Directory.CreateTempSubdirectory("quarantine").FullName;
        var kept = new Quarantine(Path.Combine(folder, "q.jsonl"));
        RejectedLine[] large = [.. Enumerable.Range(1, 9).Select(i => new RejectedLine($"{i} {new string('x', 1 << 20)}", "too large"))];
        Assert.Equal(0, kept.Add(DateTimeOffset.UnixEpoch, large, "ms"));
        Assert.Equal(4, kept.Add(DateTimeOffset.UnixEpoch.AddSeconds(1), Three, "ms"));
        Assert.Equal([5, 6, 7, 8, 9, 10, 11, 12], kept.Read(0, 100).Select(l => l.Number));
        Assert.Equal((8, 5, 12), (kept.Kept, kept.Oldest!.Number, kept.Newest!.Number));
        Directory.Delete(folder, recursive: true);
    }
}
