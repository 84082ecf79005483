using CsCheck;

namespace ThermoWatch.Feeds.Tests.Core;

/// <summary>What a feed does when its target does not.</summary>
public sealed class FeedTests
{
    private static readonly Delivery Down = Delivery.Later("connection refused");

    private static IEnumerable<long> Numbers(long first, long last) => Enumerable.Range((int)first, (int)(last - first + 1)).Select(n => (long)n);

    [Fact]
    public async Task Everything_recorded_arrives_once_and_in_order()
    {
        using var bench = new Bench(new FeedOptions("plant") { FromBeginning = true, BatchReadings = 10 });
        bench.Lane.End = 103;
        await bench.RunDryAsync();
        Assert.Equal(Numbers(1, 103), bench.Target.Confirmed);
        Assert.All(bench.Target.Batches, b => Assert.True(b.Weight <= 10));
        Assert.Equal((0, TimeSpan.Zero, 206), (bench.Feed.Status.BacklogEntries, bench.Feed.Status.Lag, bench.Feed.Status.ConfirmedReadings));
    }

    [Fact]
    public async Task Scans_that_the_target_cannot_tell_apart_in_time_are_counted_and_a_backfill_of_them_is_not()
    {
        // Scans are 0.1 s apart, from 0.1 s to 10.3 s: eleven whole seconds have any.
        using var bench = new Bench(new FakeTarget { Step = TimeSpan.FromSeconds(1) }, new FeedOptions("plant") { FromBeginning = true, BatchReadings = 7 });
        bench.Lane.End = 103;
        await bench.RunDryAsync();
        Assert.Equal(103 - 11, bench.Feed.Status.SharedTimes);
        bench.Feed.SendAgain(Sample.Start);
        await bench.RunDryAsync();
        Assert.Equal((206, 103 - 11), (bench.Target.Confirmed.Count, bench.Feed.Status.SharedTimes));
    }

    [Fact]
    public async Task Where_times_go_in_full_no_scan_shares_one()
    {
        using var bench = new Bench();
        bench.Lane.End = 103;
        await bench.RunDryAsync();
        Assert.Equal(0, bench.Feed.Status.SharedTimes);
    }

    [Fact]
    public async Task A_feed_that_has_never_run_begins_with_what_comes_from_now_on()
    {
        using var bench = new Bench(new FeedOptions("plant"));
        bench.Lane.End = 50;
        bench.Crash(); // it knows from its first moment where it began
        await bench.RunDryAsync();
        Assert.Equal(Numbers(1, 50), bench.Target.Confirmed);
    }

    [Fact]
    public async Task A_target_down_at_the_start_is_tried_again_at_growing_distances_and_misses_nothing()
    {
        using var bench = new Bench();
        bench.Lane.End = 5;
        bench.Target.Answer = _ => Down;
        List<TimeSpan> tried = [];
        int before = 0;
        await bench.LiveAsync(TimeSpan.FromSeconds(120), () =>
        {
            if (bench.Feed.Status.Failures > before)
            {
                before = bench.Feed.Status.Failures;
                tried.Add(bench.Time.GetUtcNow() - Sample.Start.ToDateTimeOffset());
            }
        });
        TimeSpan[] waits = [.. tried.Zip(tried.Skip(1), (a, b) => b - a)];
        Assert.True(waits.Length >= 7, $"only {tried.Count} attempts");
        Assert.All(waits.Take(6).Select((w, i) => (w, i)), x => Assert.InRange(x.w.TotalSeconds, 0.75 * 0.5 * Math.Pow(2, x.i), (0.5 * Math.Pow(2, x.i)) + 0.2));
        Assert.All(waits.Skip(6), w => Assert.InRange(w.TotalSeconds, 22.5, 30.2));
        Assert.Equal((FeedState.Waiting, "connection refused", 5), (bench.Feed.Status.State, bench.Feed.Status.Reason, bench.Feed.Status.BacklogEntries));
        Assert.Single(bench.Said); // once, not with every attempt

        bench.Target.Answer = _ => Delivery.Confirmed;
        bench.Lane.End = 9;
        await bench.LiveAsync(TimeSpan.FromSeconds(30));
        Assert.Equal(Numbers(1, 9), bench.Target.Confirmed);
        Assert.Equal((FeedState.Sending, "", 0), (bench.Feed.Status.State, bench.Feed.Status.Reason, bench.Feed.Status.Failures));
    }

    [Fact]
    public async Task A_target_that_calls_is_tried_at_once_also_if_it_called_while_an_attempt_was_failing()
    {
        using var bench = new Bench();
        bench.Lane.End = 5;
        bench.Target.Answer = _ => Down;
        await bench.LiveAsync(TimeSpan.FromSeconds(120)); // by now it waits half a minute
        int tries = bench.Feed.Status.Failures;
        await bench.Feed.StepAsync(TestContext.Current.CancellationToken);
        Assert.Equal(tries, bench.Feed.Status.Failures);
        bench.Target.Answer = _ =>
        {
            bench.Target.Again();
            return Down;
        };
        bench.Target.Again();
        await bench.Feed.StepAsync(TestContext.Current.CancellationToken);
        Assert.Equal(tries + 1, bench.Feed.Status.Failures);
        bench.Target.Answer = _ => Delivery.Confirmed;
        await bench.Feed.StepAsync(TestContext.Current.CancellationToken);
        Assert.Equal(Numbers(1, 5), bench.Target.Confirmed);
    }

    [Fact]
    public async Task A_target_that_dies_in_the_middle_of_a_batch_gets_the_whole_batch_again()
    {
        using var bench = new Bench(new FeedOptions("plant") { FromBeginning = true, BatchReadings = 20 });
        bench.Lane.End = 30;
        int calls = 0;
        bench.Target.Answer = _ => ++calls == 2 ? throw new IOException("connection reset") : Delivery.Confirmed;
        await bench.RunDryAsync();
        Assert.Contains("connection reset", bench.Feed.Status.Reason, StringComparison.Ordinal);
        await bench.LiveAsync(TimeSpan.FromSeconds(2));
        Assert.Equal(Numbers(1, 30), bench.Target.Confirmed);
        Assert.Equal([.. Numbers(1, 20), .. Numbers(11, 30)], bench.Target.Seen);
    }

    [Fact]
    public async Task A_target_that_never_answers_is_given_up_after_the_time_out()
    {
        using var bench = new Bench();
        bench.Lane.End = 1;
        bench.Target.Holds = new TaskCompletionSource().Task;
        Task<bool> step = bench.Feed.StepAsync(CancellationToken.None);
        bench.Time.Advance(TimeSpan.FromSeconds(9.9));
        Assert.False(step.IsCompleted);
        bench.Time.Advance(TimeSpan.FromSeconds(0.2));
        Assert.False(await step.WaitAsync(TimeSpan.FromSeconds(10), TestContext.Current.CancellationToken));
        Assert.Equal("No answer within 10 s.", bench.Feed.Status.Reason);
        Assert.Equal(1, bench.Feed.Status.BacklogEntries);
    }

    [Fact]
    public async Task What_the_target_asks_to_wait_is_waited()
    {
        using var bench = new Bench();
        bench.Lane.End = 1;
        bench.Target.Answer = _ => Delivery.Later("too many requests", TimeSpan.FromSeconds(17));
        await bench.RunDryAsync();
        bench.Target.Answer = _ => Delivery.Confirmed;
        await bench.LiveAsync(TimeSpan.FromSeconds(16.9));
        Assert.Empty(bench.Target.Confirmed);
        await bench.LiveAsync(TimeSpan.FromSeconds(0.2));
        Assert.Equal([1], bench.Target.Confirmed);
    }

    [Fact]
    public async Task Whoever_is_not_let_in_says_so_and_tries_rarely()
    {
        using var bench = new Bench();
        bench.Lane.End = 1;
        bench.Target.Answer = _ => Delivery.Refused("unauthorized");
        await bench.LiveAsync(TimeSpan.FromSeconds(100));
        Assert.Equal((FeedState.Refused, "unauthorized"), (bench.Feed.Status.State, bench.Feed.Status.Reason));
        Assert.InRange(bench.Target.Seen.Count, 4, 5);
    }

    [Fact]
    public async Task Lines_that_are_never_taken_are_kept_with_the_servers_words_and_the_rest_goes_on()
    {
        using var bench = new Bench();
        bench.Lane.End = 3;
        bench.Target.Answer = _ => Delivery.AllBut([new RejectedLine("temperature value=1 2", "field type conflict")]);
        await bench.RunDryAsync();
        Assert.Equal(0, bench.Feed.Status.BacklogEntries);
        Assert.Equal((1, "field type conflict"), (bench.Feed.Status.RejectedLines, bench.Feed.Status.LastRejected.Single().Words));
        string kept = File.ReadAllText(Path.Combine(bench.FolderPath, "quarantine.jsonl"));
        Assert.Contains("\"line\":\"temperature value=1 2\",\"words\":\"field type conflict\"", kept, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_paused_feed_sends_nothing_knows_its_lag_and_stays_paused_over_a_restart()
    {
        using var bench = new Bench();
        bench.Feed.Pause();
        bench.Lane.End = 10;
        await bench.LiveAsync(TimeSpan.FromSeconds(60));
        bench.Crash();
        await bench.LiveAsync(TimeSpan.FromSeconds(1));
        Assert.Empty(bench.Target.Seen);
        Assert.Equal((FeedState.Paused, 10), (bench.Feed.Status.State, bench.Feed.Status.BacklogEntries));
        Assert.Equal(61 - 0.1, bench.Feed.Status.Lag.TotalSeconds, 0.001);
        bench.Feed.Resume();
        await bench.RunDryAsync();
        Assert.Equal(Numbers(1, 10), bench.Target.Confirmed);
    }

    [Fact]
    public async Task After_a_crash_it_goes_on_from_the_position_written_last()
    {
        using var bench = new Bench(new FeedOptions("plant") { FromBeginning = true, SavePeriod = TimeSpan.Zero });
        bench.Lane.End = 10;
        await bench.RunDryAsync();
        bench.Crash();
        bench.Lane.End = 15;
        await bench.RunDryAsync();
        Assert.Equal(Numbers(1, 15), bench.Target.Seen);
    }

    [Fact]
    public async Task Entries_that_a_power_cut_may_take_back_are_not_written_down_as_sent()
    {
        using var bench = new Bench(new FeedOptions("plant") { FromBeginning = true, SavePeriod = TimeSpan.Zero });
        (bench.Lane.End, bench.Lane.Settled) = (10, 6);
        await bench.RunDryAsync();
        bench.Lane.End = 6; // power cut: what was not settled is gone, and other entries get those numbers
        bench.Crash();
        (bench.Lane.End, bench.Lane.Settled) = (12, 12);
        await bench.RunDryAsync();
        Assert.Equal([.. Numbers(1, 10), .. Numbers(7, 12)], bench.Target.Confirmed);
    }

    [Fact]
    public async Task A_position_file_that_cannot_be_read_loses_nothing()
    {
        using var bench = new Bench(new FeedOptions("plant") { SavePeriod = TimeSpan.Zero });
        bench.Lane.End = 4;
        await bench.RunDryAsync();
        File.WriteAllText(Path.Combine(bench.FolderPath, "position.json"), "{\"lanes\":{\"ce");
        bench.Crash();
        await bench.RunDryAsync();
        Assert.Equal([.. Numbers(1, 4), .. Numbers(1, 4)], bench.Target.Confirmed);
        Assert.Contains(bench.Said, s => s.Contains("position.json cannot be read", StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_target_that_is_down_does_not_hold_up_another()
    {
        var lane = new MemoryLane();
        using var first = new Bench(null, lane);
        using var second = new Bench(null, lane);
        lane.End = 20;
        first.Target.Answer = _ => Down;
        await first.RunDryAsync();
        await second.RunDryAsync();
        Assert.Empty(first.Target.Confirmed);
        Assert.Equal(Numbers(1, 20), second.Target.Confirmed);
    }

    [Fact]
    public async Task Lanes_take_turns_so_that_a_backlog_of_one_does_not_hold_up_another()
    {
        MemoryLane busy = new("cell-1"), quiet = new("cell-2");
        using var bench = new Bench(new FeedOptions("plant") { FromBeginning = true, BatchReadings = 2 }, busy, quiet);
        (busy.End, quiet.End) = (100, 3);
        await bench.RunDryAsync();
        Assert.Equal(["cell-1", "cell-2", "cell-1", "cell-2", "cell-1", "cell-2", "cell-1", "cell-1"], bench.Target.Batches.Take(8).Select(b => b.Lane));
    }

    [Fact]
    public async Task Entries_without_anything_to_send_move_the_position_too()
    {
        using var bench = new Bench();
        bench.Lane.IsEmpty = n => n % 7 != 0;
        bench.Lane.End = 100;
        await bench.RunDryAsync();
        Assert.Equal(Numbers(1, 100).Where(n => n % 7 == 0), bench.Target.Confirmed);
        Assert.Equal(0, bench.Feed.Status.BacklogEntries);
    }

    [Fact]
    public void Whatever_the_target_and_the_process_do_nothing_is_lost_and_order_is_kept() =>
        Gen.Select(Gen.Int[0, 5].Array[1, 60], Gen.Int[1, 9]).Sample((script, batch) =>
        {
            using var bench = new Bench(new FeedOptions("plant") { FromBeginning = true, BatchReadings = batch, SavePeriod = TimeSpan.Zero });
            foreach (int what in script)
            {
                bench.Target.Answer = what switch { 0 => _ => Down, 1 => _ => Delivery.Refused("no"), 2 => _ => throw new IOException("reset"), _ => _ => Delivery.Confirmed };
                bench.Lane.End += what + 1;
                bench.Time.Advance(TimeSpan.FromSeconds(what == 3 ? 31 : 0.2));
                bench.Feed.StepAsync(CancellationToken.None).GetAwaiter().GetResult();
                if (what == 4)
                {
                    bench.Crash();
                }
            }

            bench.Target.Answer = _ => Delivery.Confirmed;
            bench.Time.Advance(TimeSpan.FromSeconds(31));
            bench.RunDryAsync().GetAwaiter().GetResult();

            // What the target has confirmed, without repeats, is the record; a repeat never comes out of order.
            long last = 0;
            foreach (long n in bench.Target.Confirmed)
            {
                Assert.True(n <= last + 1, $"{n} came after {last}");
                last = Math.Max(last, n);
            }

            Assert.Equal(bench.Lane.End, last);
        }, iter: 200);
}
