namespace ThermoWatch.Feeds.Tests.Core;

/// <summary>Sending the past beside what is live.</summary>
public sealed class PastTests
{
    private static readonly FeedOptions Small = new("plant") { BatchReadings = 20, SavePeriod = TimeSpan.Zero };

    private static long[] Numbers(long first, long last) => [.. Enumerable.Range((int)first, (int)(last - first + 1)).Select(n => (long)n)];

    private static Bench Caught(FeedOptions options, long end)
    {
        var bench = new Bench(options);
        bench.Lane.End = end;
        bench.RunDryAsync().GetAwaiter().GetResult();
        bench.Target.Confirmed.Clear();
        bench.Target.Batches.Clear();
        return bench;
    }

    [Fact]
    public async Task The_past_from_a_time_on_is_sent_again_and_marked_as_past()
    {
        using Bench bench = Caught(Small, 100);
        Assert.Equal(41, bench.Feed.SendAgain(Sample.TimeOf(60)));
        await bench.RunDryAsync();
        Assert.Equal(Numbers(60, 100), bench.Target.Confirmed);
        Assert.All(bench.Target.Batches, b => Assert.True(b.IsHistorical));
        Assert.Empty(bench.Feed.Status.Backfills);
    }

    [Fact]
    public async Task A_span_of_the_past_ends_where_it_is_told()
    {
        using Bench bench = Caught(Small, 100);
        bench.Feed.SendAgain(Sample.TimeOf(20), Sample.TimeOf(29));
        await bench.RunDryAsync();
        Assert.Equal(Numbers(20, 29), bench.Target.Confirmed);
    }

    [Fact]
    public async Task Live_entries_go_before_the_past_and_progress_is_said()
    {
        using Bench bench = Caught(Small, 100);
        bench.Feed.SendAgain(Sample.TimeOf(1));
        await bench.Feed.StepAsync(TestContext.Current.CancellationToken);
        bench.Lane.End = 102;
        await bench.Feed.StepAsync(TestContext.Current.CancellationToken);
        Assert.Equal([.. Numbers(1, 10), 101, 102], bench.Target.Confirmed);
        Assert.Equal((0, 0.1, 10, 100), (bench.Feed.Status.BacklogEntries, bench.Feed.Status.Backfills[0].Share, bench.Feed.Status.Backfills[0].Confirmed, bench.Feed.Status.Backfills[0].Last));
        await bench.RunDryAsync();
        Assert.Equal(Numbers(11, 100), bench.Target.Confirmed.Skip(12));
    }

    [Fact]
    public async Task A_throttle_holds_the_past_to_its_rate()
    {
        using Bench bench = Caught(Small with { BackfillReadingsPerSecond = 40 }, 100);
        bench.Feed.SendAgain(Sample.TimeOf(1));
        await bench.LiveAsync(TimeSpan.FromSeconds(2.0)); // 10 entries of 2 readings every half second
        Assert.InRange(bench.Target.Confirmed.Count, 40, 50);
        await bench.LiveAsync(TimeSpan.FromSeconds(4));
        Assert.Equal(Numbers(1, 100), bench.Target.Confirmed);
    }

    [Fact]
    public async Task A_backfill_outlives_a_crash()
    {
        using Bench bench = Caught(Small, 100);
        bench.Feed.SendAgain(Sample.TimeOf(1));
        await bench.Feed.StepAsync(TestContext.Current.CancellationToken);
        await bench.Feed.StepAsync(TestContext.Current.CancellationToken);
        bench.Crash();
        Assert.Equal(20, bench.Feed.Status.Backfills[0].Confirmed);
        await bench.RunDryAsync();
        Assert.Equal(Numbers(1, 100), bench.Target.Confirmed);
    }

    [Fact]
    public async Task A_long_backlog_goes_in_one_order_unless_live_values_are_to_come_first()
    {
        using Bench inOrder = Caught(Small, 10), liveFirst = Caught(Small with { LiveFirstAfter = TimeSpan.FromSeconds(5) }, 10);
        foreach (Bench bench in (Bench[])[inOrder, liveFirst])
        {
            bench.Target.Answer = _ => Delivery.Later("down");
            await bench.LiveAsync(TimeSpan.FromSeconds(60), () => bench.Lane.End++);
            bench.Target.Answer = batch =>
            {
                if (batch.IsHistorical)
                {
                    bench.Time.Advance(TimeSpan.FromSeconds(0.1)); // while the past is being sent, a new entry is recorded
                    bench.Lane.End++;
                }

                return Delivery.Confirmed;
            };
            await bench.LiveAsync(TimeSpan.FromSeconds(31), () => bench.Lane.End++);
        }

        Assert.Equal(Numbers(11, inOrder.Lane.End), inOrder.Target.Confirmed);
        Assert.Equal(Numbers(11, liveFirst.Lane.End), liveFirst.Target.Confirmed.Order());
        FeedBatch[] live = [.. liveFirst.Target.Batches.Where(b => !b.IsHistorical)];
        Assert.Equal(live.Select(b => b.Through).Order(), live.Select(b => b.Through));
        FeedBatch[] all = [.. liveFirst.Target.Batches];
        Assert.True(all.Count(b => b.IsHistorical) > 20);
        Assert.All(Enumerable.Range(0, all.Length - 1).Where(i => all[i].IsHistorical), i => Assert.False(all[i + 1].IsHistorical, "what came meanwhile goes next"));
    }

    [Fact]
    public async Task A_backlog_set_aside_is_not_lost_with_the_process()
    {
        using Bench bench = Caught(Small with { LiveFirstAfter = TimeSpan.FromSeconds(5) }, 10);
        bench.Target.Answer = _ => Delivery.Later("down");
        await bench.LiveAsync(TimeSpan.FromSeconds(30), () => bench.Lane.End++);
        bench.Crash();
        bench.Crash();
        bench.Target.Answer = _ => Delivery.Confirmed;
        await bench.LiveAsync(TimeSpan.FromSeconds(31), () => bench.Lane.End++);
        Assert.Equal(Numbers(11, bench.Lane.End), bench.Target.Confirmed.Distinct().Order());
    }

    [Fact]
    public async Task A_backfill_that_is_cancelled_stops_and_stays_so_after_a_crash()
    {
        using Bench bench = Caught(Small, 100);
        bench.Feed.SendAgain(Sample.TimeOf(1));
        await bench.Feed.StepAsync(TestContext.Current.CancellationToken);
        Assert.Equal(90, bench.Feed.CancelBackfills());
        Assert.Empty(bench.Feed.Status.Backfills);
        await bench.RunDryAsync();
        await bench.LiveAsync(TimeSpan.FromSeconds(1));
        bench.Crash();
        await bench.RunDryAsync();
        Assert.Equal(Numbers(1, 10), bench.Target.Confirmed);
    }

    [Fact]
    public async Task A_backlog_that_is_still_owed_cannot_be_cancelled()
    {
        using Bench bench = Caught(Small with { LiveFirstAfter = TimeSpan.FromSeconds(5) }, 10);
        bench.Target.Answer = _ => Delivery.Later("down");
        bench.Lane.End = 60;
        await bench.LiveAsync(TimeSpan.FromSeconds(20));
        bench.Feed.SendAgain(Sample.TimeOf(1), Sample.TimeOf(10));
        Assert.Equal(10, bench.Feed.CancelBackfills());
        Assert.True(Assert.Single(bench.Feed.Status.Backfills).Owed);
        bench.Target.Answer = _ => Delivery.Confirmed;
        await bench.LiveAsync(TimeSpan.FromSeconds(31));
        Assert.Equal(Numbers(11, 60), bench.Target.Confirmed.Order());
    }
}
