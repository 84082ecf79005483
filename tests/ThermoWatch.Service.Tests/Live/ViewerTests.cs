using CsCheck;
using Microsoft.Extensions.Logging.Abstractions;
using ThermoWatch.Service.Live;
using static ThermoWatch.Service.Tests.Live.ListeningPage;

namespace ThermoWatch.Service.Tests.Live;

public sealed class ViewerTests
{
    private static Viewer Watching(ListeningPage page, long answered, bool changes = false)
    {
        var viewer = new Viewer(page.Server, 1, NullLogger.Instance);
        viewer.BeginAnew(State(answered), changes);
        return viewer;
    }

    [Fact]
    public async Task Who_watches_is_told_whole_states_and_who_follows_only_what_changes()
    {
        await using ListeningPage watching = new(), following = new();
        Viewer watcher = Watching(watching, 3), follower = Watching(following, 3, changes: true);
        foreach (LiveNews news in (LiveNews[])[News(4), new([Frame(5)], [Mark(4)], State(5), lost: false), News(6, State(6))])
        {
            watcher.Offer(news);
            follower.Offer(news);
        }

        Assert.Equal(["scan 4", "scan 5", "mark 4", "state 5", "scan 6", "state 6"], watching.Read());
        Assert.Equal(["scan 4", "scan 5", "mark 4", "change 3-5", "scan 6", "change 5-6"], following.Read());
    }

    [Fact]
    public async Task A_state_made_before_the_one_that_was_answered_is_not_told()
    {
        await using ListeningPage page = new();
        Viewer viewer = Watching(page, 5);
        CellState answered = State(9);
        viewer.Offer(News(4, State(4)));
        viewer.BeginAnew(answered, changes: true);
        viewer.Offer(News(8, State(8)));
        viewer.Offer(News(9, answered));
        viewer.Offer(News(12, State(12)));
        Assert.Equal(["scan 4", "scan 8", "scan 9", "scan 12", "change 9-12"], page.Read());
    }

    [Fact]
    public async Task A_stalled_page_keeps_little_and_is_told_from_where_it_missed_and_the_newest_state()
    {
        await using ListeningPage page = new(room: 200);
        Viewer viewer = Watching(page, 0, changes: true);
        for (int seq = 1; seq <= 500; seq++)
        {
            viewer.Offer(News(seq, seq % 10 == 0 ? State(seq) : null));
        }

        string[] told = page.Read();
        int frames = told.Count(t => t.StartsWith("scan", StringComparison.Ordinal));
        Assert.InRange(frames, 21, 25);
        Assert.Equal(Enumerable.Range(1, frames).Select(i => $"scan {i}"), told[..frames]);
        Assert.Equal([$"missed {frames}", "change 0-500"], told[frames..]);
        viewer.Offer(News(501));
        viewer.Offer(News(502, State(502)));
        Assert.Equal(["scan 501", "scan 502", "change 500-502"], page.Read());
    }

    [Fact]
    public async Task News_with_a_hole_behind_them_say_so()
    {
        await using ListeningPage page = new();
        Viewer viewer = Watching(page, 6);
        viewer.Offer(new LiveNews([], [], State(7), lost: true));
        viewer.Offer(new LiveNews([Frame(8), Frame(9)], [Mark(8)], null, lost: true));
        Assert.Equal(["missed 6", "state 7", "scan 8", "scan 9", "mark 8", "missed 9"], page.Read());
    }

    [Fact]
    public async Task Nothing_is_sent_after_the_end()
    {
        await using ListeningPage page = new(room: 100);
        Viewer viewer = Watching(page, 0);
        viewer.Offer(News(1));
        viewer.Offer(News(2));
        viewer.Offer(News(3));
        viewer.End();
        viewer.Offer(News(4));
        Assert.Equal(["scan 1", "scan 2"], page.Read()); // the third was kept, and is let go
    }

    /// <summary>However a page stalls: what it was sent and what it is told to ask for are all frames, in order and once; changes follow each other without a hole.</summary>
    [Fact]
    public void However_a_page_reads_it_can_make_up_the_whole() =>
        Gen.Select(Gen.Bool.Array[1, 120], Gen.Int[1, 4], Gen.Int[60, 2000]).Sample((reads, stateEvery, room) =>
        {
            var page = new ListeningPage(room);
            Viewer viewer = Watching(page, 0, changes: true);
            List<string> told = [];
            for (int i = 0; i < reads.Length; i++)
            {
                viewer.Offer(News(i + 1, i % stateEvery == 0 ? State(i + 1) : null));
                told.AddRange(reads[i] ? page.Read() : []);
            }

            told.AddRange(page.Read());
            long have = 0, state = 0;
            foreach (string[] words in told.Select(t => t.Split(' ', '-')))
            {
                if (words[0] == "scan")
                {
                    Assert.Equal(have + 1, have = long.Parse(words[1], System.Globalization.CultureInfo.InvariantCulture));
                }
                else if (words[0] == "missed")
                {
                    // It asks, and is answered with what is there by then: everything until the next frame that it is sent.
                    Assert.Equal($"{have}", words[1]);
                    string? next = told.SkipWhile(t => t != string.Join(' ', words)).FirstOrDefault(t => t.StartsWith("scan", StringComparison.Ordinal));
                    have = next is null ? reads.Length : long.Parse(next[5..], System.Globalization.CultureInfo.InvariantCulture) - 1;
                }
                else
                {
                    Assert.Equal($"{state}", words[1]);
                    state = long.Parse(words[2], System.Globalization.CultureInfo.InvariantCulture);
                }
            }

            Assert.Equal(reads.Length, have);
            Assert.Equal(((reads.Length - 1) / stateEvery * stateEvery) + 1, state);
        });
}
