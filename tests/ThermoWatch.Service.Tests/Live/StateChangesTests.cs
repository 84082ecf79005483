using System.Buffers.Binary;
using MessagePack;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Tests.Live;

public sealed class StateChangesTests
{
    private static FigureLive Figure(int channel, double? value) => new()
    {
        Figure = "timeAboveLiquidus",
        Channel = $"tc{channel}",
        Value = value,
        Unit = "s",
        Upper = 90,
        Margin = 90 - value,
        Severity = "fail",
        Notes = ["noUncertainty"],
        Usual = 61.25,
        Final = false,
    };

    private static RunLive Run(double value, int figures = 40) => new()
    {
        Number = 7,
        Carrier = "A",
        Kind = "profile",
        StartReason = "slope",
        Start = 1000,
        Notes = ["warmStart"],
        Phases = [new() { Phase = "reflow", Track = "thermal", Start = 2000 }],
        Figures = [.. Enumerable.Range(0, figures).Select(i => Figure(i, i < 8 ? value : 12))],
        Gaps = [],
        Reasons = [],
    };

    private static AlarmLive Alarm(double? value, double? left, string state = "unacknowledged") => new()
    {
        Id = "timeAboveLiquidus/tc1",
        Condition = "timeAboveLiquidus",
        State = state,
        Since = 5000,
        Value = value,
        Limit = 90,
        Priority = "high",
        Holds = true,
        Text = "timeAboveLiquidus",
        Where = "tc1",
        What = $"tc1 has been liquid for {value} s, limit 90 s.",
        Consequence = "Joints grow brittle and parts age.",
        Action = "Let the programme end.",
        HowLong = $"There are {left} left.",
        German = new AlarmWords { Where = "tc1", What = $"tc1 ist seit {value} s flüssig, Grenze 90 s.", Consequence = "Lötstellen werden spröde.", Action = "Programm zu Ende laufen lassen.", HowLong = $"Noch {left}." },
        SecondsToAct = left,
        By = "",
        Comment = "",
    };

    private static CellState State(long seq, RunLive[] runs, params AlarmLive[] alarms) => new()
    {
        Cell = 1,
        Seq = seq,
        T = seq * 100.0,
        Runs = runs,
        Alarms = alarms,
        HiddenAlarms = [],
        Devices = [new() { Id = "amp", State = "up", Since = 1, Reason = "" }],
        Filtered = [],
    };

    [Fact]
    public void Viewers_that_keep_up_are_sent_one_and_the_same_change()
    {
        CellState before = State(10, [Run(63.2)]), slower = State(9, [Run(62.9)]), now = State(13, [Run(63.5)]);
        Assert.Same(StateChanges.Once(before, now), StateChanges.Once(before, now));
        byte[] Packed(CellChange change) => MessagePackSerializer.Serialize(change, cancellationToken: TestContext.Current.CancellationToken);
        Assert.Equal(Packed(StateChanges.Between(before, now)), Packed(StateChanges.Once(before, now)));
        Assert.Equal((9, 13), (StateChanges.Once(slower, now).After, StateChanges.Once(slower, now).Seq));
    }

    [Fact]
    public void Counting_figures_travel_as_a_few_numbers()
    {
        CellState before = State(10, [Run(63.2)]);
        CellState now = State(13, [Run(63.5)]);
        CellChange change = StateChanges.Between(before, now);
        RunChange run = Assert.Single(change.Runs!);
        Assert.Equal((10, 13, 1300.0), (change.After, change.Seq, change.T));
        Assert.Equal([0, 1, 2, 3, 4, 5, 6, 7], run.At);
        Assert.Equal(63.5f, BinaryPrimitives.ReadSingleLittleEndian(run.Data));
        Assert.True(float.IsNaN(BinaryPrimitives.ReadSingleLittleEndian(run.Data.AsSpan(4)))); // no bound
        Assert.Equal(26.5f, BinaryPrimitives.ReadSingleLittleEndian(run.Data.AsSpan(12)));
        Assert.Equal((true, true, true, true, true), (run.Head is null, run.Anew is null, change.Order is null, change.Alarms is null, change.Devices is null));
        int size = MessagePackSerializer.Serialize(change, cancellationToken: TestContext.Current.CancellationToken).Length;
        Assert.InRange(size, 1, 300);
        Assert.True(MessagePackSerializer.Serialize(now, cancellationToken: TestContext.Current.CancellationToken).Length > 20 * size);
    }

    [Fact]
    public void A_state_that_says_the_same_is_a_change_of_its_time_alone()
    {
        CellChange change = StateChanges.Between(State(10, [Run(63.2)], Alarm(91, null)), State(11, [Run(63.2)], Alarm(91, null)));
        Assert.Equal(new CellChange { Cell = 1, After = 10, Seq = 11, T = 1100 }, change);
    }

    [Fact]
    public void A_new_phase_brings_the_run_without_its_figures()
    {
        RunLive next = Run(63.2) with { Phases = [new() { Phase = "reflow", Track = "thermal", Start = 2000, End = 3000 }] };
        RunChange run = Assert.Single(StateChanges.Between(State(1, [Run(63.2)]), State(2, [next])).Runs!);
        Assert.Equal(3000, Assert.Single(run.Head!.Phases).End);
        Assert.Empty(run.Head.Figures);
        Assert.Empty(run.At);
    }

    [Fact]
    public void A_figure_that_becomes_final_or_says_why_comes_whole()
    {
        RunLive next = Run(63.2);
        next.Figures[2] = next.Figures[2] with { Final = true, Verdict = "pass" };
        next.Figures[9] = next.Figures[9] with { Notes = [] };
        RunChange run = Assert.Single(StateChanges.Between(State(1, [Run(63.2)]), State(2, [next])).Runs!);
        Assert.Null(run.Head);
        Assert.Equal([2, 9], run.Anew!.Select(a => a.At));
        Assert.True(run.Anew![0].Figure.Final);
    }

    [Fact]
    public void A_new_run_or_other_figures_come_whole_with_the_order_of_runs()
    {
        RunLive second = Run(0) with { Number = 8, Carrier = "B" };
        CellChange change = StateChanges.Between(State(1, [Run(63.2)]), State(2, [Run(63.2), second]));
        Assert.Equal([7, 8], change.Order!);
        Assert.Equal(40, Assert.Single(change.Runs!).Head!.Figures.Length);
        RunChange other = Assert.Single(StateChanges.Between(State(1, [Run(63.2)]), State(2, [Run(63.2, figures: 41)])).Runs!);
        Assert.Equal(41, other.Head!.Figures.Length);
    }

    [Fact]
    public void A_standing_alarm_moves_by_its_numbers_and_comes_whole_when_its_state_does()
    {
        CellChange moved = StateChanges.Between(State(1, [], Alarm(91, 12)), State(2, [], Alarm(91.3, 11)));
        Assert.Null(moved.Alarms);
        Assert.Equal(new AlarmNumbers { Id = "timeAboveLiquidus/tc1", Value = 91.3, SecondsToAct = 11 }, Assert.Single(moved.Numbers!));
        CellChange seen = StateChanges.Between(State(1, [], Alarm(91, 12)), State(2, [], Alarm(91, 12, "acknowledged")));
        Assert.Equal("acknowledged", Assert.Single(seen.Alarms!).State);
        Assert.NotNull(StateChanges.Between(State(1, [], Alarm(91, 12)), State(2, [], Alarm(91, null))).Alarms); // its words are others then
        Assert.Empty(StateChanges.Between(State(1, [], Alarm(91, 12)), State(2, [])).Alarms!);
    }
}
