using System.Globalization;
using ThermoWatch.EndToEnd.Tests.Support;
using ThermoWatch.Tests;

namespace ThermoWatch.EndToEnd.Tests;

/// <summary>The whole way: machine, socket, driver, conversion, journal, engine, hub, as processes.</summary>
public sealed class SliceTests
{
    [Fact]
    public async Task Temperatures_at_an_outside_client_are_the_machines_own_within_0_3_K()
    {
        await using Node node = new();
        await node.StartMachineAsync("--noise-free", "--start-at", "60", "--truth", node.TruthFile);
        await node.StartServiceAsync();
        await using LiveClient client = await LiveClient.ConnectAsync(node.Port);
        List<Frame> frames = [];
        while (frames.Count < 100)
        {
            frames.Add(await client.NextFrameAsync());
        }

        await node.Service!.InterruptAsync();
        await node.Machine!.InterruptAsync();
        Truth truth = Truth.Read(node.TruthFile);
        string[] ids = [.. client.Layout.Channels.Select(c => c.Id)];
        Assert.Equal(15, ids.Length);
        foreach (Frame frame in frames)
        {
            for (int channel = 0; channel < ids.Length; channel++)
            {
                Assert.Equal(0, frame.Quality(channel, ids.Length));
                if (client.Layout.Channels[channel].Role == "coldJunction")
                {
                    continue; // the truth is of the process, not of the instrument
                }

                if (client.Layout.Channels[channel].Role == "signal")
                {
                    Assert.Equal(ids[channel] switch { "running" => 1, "recipe" => 12, _ => 4 }, frame.Value(channel)); // the traction board's, four on the carrier
                    continue;
                }

                // The instrument samples ten times a second: what it says was true at most a tenth before.
                (double least, double most) = truth.Within(channel, frame.T - 200, frame.T + 50);
                double slack = client.Layout.Channels[channel].Unit == "mbar" ? 0.01 * most : 0.3;
                Assert.InRange(frame.Value(channel), least - slack, most + slack);
            }
        }

        Assert.True(frames[^1].Value(0) - frames[0].Value(0) > 3, "The boards were heating meanwhile, so the comparison says something.");
    }

    [Fact]
    public async Task Killed_in_mid_run_the_service_shows_the_run_from_its_beginning_and_goes_on_with_the_gap_marked()
    {
        await using Node node = new();
        await node.StartMachineAsync("--speed", "4");
        await node.StartServiceAsync();
        Run before;
        Frame last;
        await using (LiveClient client = await LiveClient.ConnectAsync(node.Port))
        {
            State running = await client.StateWhenAsync(s => s.Runs is [{ End: null }]);
            before = running.Runs[0];
            last = await client.NextFrameAsync();
            while (last.T < before.Start + 12_000)
            {
                last = await client.NextFrameAsync();
            }
        }

        await node.Service!.KillAsync();
        await Task.Delay(2_000);
        await node.StartServiceAsync();

        await using LiveClient again = await LiveClient.ConnectAsync(node.Port);
        State state = await again.StateWhenAsync(s => s.Runs is [{ Gaps.Length: > 0 }] && s.Runs[0].Gaps.All(g => g.End is not null));
        Run run = state.Runs[0];
        Assert.Equal(before.Number, run.Number);
        Assert.Equal(before.Start, run.Start);
        Assert.Null(run.End);
        Assert.All(run.Gaps, g => Assert.InRange(g.Start, last.T - 1, last.T + 1_000));
        Assert.All(run.Gaps, g => Assert.InRange(g.End!.Value - g.Start, 2_000, 20_000));
        List<Frame> frames = await again.SinceAsync(again.Layout.FromSeq);
        Assert.True(frames[0].T <= run.Start, "The curve begins where the run begins.");
        Assert.Contains(frames, f => f.Seq == last.Seq && f.T == last.T && f.Data.AsSpan().SequenceEqual(last.Data));
        Assert.Equal(frames.Select(f => f.Seq).Distinct().Order(), frames.Select(f => f.Seq));

        State ended = await again.StateWhenAsync(s => s.Runs is [{ End: not null }], TimeSpan.FromSeconds(120));
        Assert.Equal(before.Number, ended.Runs[0].Number);
        Assert.NotNull(ended.Runs[0].Verdict);
    }

    [Fact]
    public async Task An_unreachable_device_is_shown_with_its_reason_and_logged_once()
    {
        await using Node node = new();
        await node.StartServiceAsync();
        await using LiveClient client = await LiveClient.ConnectAsync(node.Port);
        State state = await client.StateWhenAsync(s => s.Devices is [{ State: "down" }]);
        Assert.NotEmpty(state.Devices[0].Reason);
        await Task.Delay(3_000);
        await node.Service!.InterruptAsync();
        string log = node.Service.Output + node.Service.Errors;
        Assert.Equal(1, log.Split(state.Devices[0].Reason).Length - 1);
    }

    [Fact]
    public async Task A_demo_shows_a_run_in_progress_and_two_dozen_before_it_within_ten_seconds_and_ends_cleanly()
    {
        int port = FreePorts.Next();
        DirectoryInfo data = Directory.CreateTempSubdirectory("thermowatch-test-");
        var watch = System.Diagnostics.Stopwatch.StartNew();
        await using ProgramRun demo = ProgramRun.Start(["demo", "--port", port.ToString(), "--data", data.FullName]);
        await demo.SaysAsync("is at http://localhost:" + port);
        await using LiveClient client = await LiveClient.ConnectAsync(port);
        State state = await client.StateWhenAsync(s => s.Runs is [{ End: null }]);
        await client.NextFrameAsync();
        Assert.InRange(watch.Elapsed.TotalSeconds, 0, 10);
        Assert.Equal(25, state.Runs[0].Number);
        Assert.InRange(client.Layout.UsualCycle ?? 0, 240, 480);
        List<Frame> frames = await client.SinceAsync(client.Layout.FromSeq);
        double[] steps = [.. frames.Zip(frames.Skip(1), (a, b) => b.T - a.T)];
        Assert.True(steps.Max() < 1_000, $"Past and present join without a hole; the longest step is {steps.Max()} ms.");
        Assert.Equal(0, await demo.InterruptAsync());
        Assert.Empty(demo.Errors);
        data.Delete(recursive: true);
    }

    /// <summary>The truth file of the simulator: a time and then the true values, in the order of the layout.</summary>
    private sealed class Truth
    {
        private readonly List<(double T, double[] Values)> _rows = [];

        public static Truth Read(string path)
        {
            Truth truth = new();
            foreach (string line in File.ReadLines(path).Skip(1))
            {
                string[] cells = line.Split(',');
                double t = (DateTimeOffset.Parse(cells[0], CultureInfo.InvariantCulture) - DateTimeOffset.UnixEpoch).TotalMilliseconds;
                truth._rows.Add((t, [.. cells[1..].Select(c => double.Parse(c, CultureInfo.InvariantCulture))]));
            }

            return truth;
        }

        public (double Least, double Most) Within(int channel, double from, double to)
        {
            double[] values = [.. _rows.Where(r => r.T >= from && r.T <= to).Select(r => r.Values[channel])];
            Assert.NotEmpty(values);
            return (values.Min(), values.Max());
        }
    }
}
