using CsCheck;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Tests.Engine;

/// <summary>When a record was taken changes nothing that is said of it.</summary>
public class TimeShiftTests
{
    // Not whole seconds, and as far as the calendar goes: whoever counts ticks from the year 1 in double precision loses some of them.
    private static readonly Gen<long> s_shift = Gen.OneOf(
        Gen.Long[-20_000_000, 20_000_000],
        Gen.Long[-TimeSpan.TicksPerDay * 365 * 1900, TimeSpan.TicksPerDay * 365 * 7000]);

    [Fact]
    public void Moving_a_record_of_two_carriers_in_time_changes_nothing_that_is_said() => Check(Stories.TwoCarriers, 8);

    [Fact]
    public void Moving_a_record_of_signals_and_vapour_in_time_changes_nothing_that_is_said() => Check(Stories.SignalsAndVapour, 8);

    [Fact]
    public void Moving_a_run_that_ends_by_any_rule_in_time_changes_nothing_that_is_said() =>
        Check(seed => Stories.Ending(Stories.Endings[seed % Stories.Endings.Length], seed), 40);

    private static void Check(Func<int, Story> tell, int samples) => Gen.Select(Gen.Int[0, 100], s_shift, Gen.Int[0, 1000]).Sample((seed, shift, seedOfTimes) =>
    {
        // Every time is moved by a few ticks at first: real times are no multiples of anything.
        Story story = tell(seed);
        var random = new Random(seedOfTimes);
        EngineInput[] inputs = [.. Moved(story.Inputs, () => random.Next(1_000_000)).OrderBy(i => i.Time.UtcTicks)];
        Assert.Equal(Said(story.Cell, inputs, 0), Said(story.Cell, inputs, shift));
    }, iter: samples, threads: 1);

    private static string Said(CellDefinition cell, IEnumerable<EngineInput> inputs, long shift)
    {
        var engine = new CellEngine(cell);
        List<EngineEvent> events = Bench.Feed(engine, Moved(inputs, () => shift));
        Assert.Contains(events, e => e is RunEvent { State: not RunState.Started });
        return Stories.Text(events, engine, new Timestamp(Bench.Epoch.UtcTicks + shift));
    }

    private static IEnumerable<EngineInput> Moved(IEnumerable<EngineInput> inputs, Func<long> ticks) => inputs.Select<EngineInput, EngineInput>(input =>
    {
        var time = new Timestamp(input.Time.UtcTicks + ticks());
        return input is ScanInput { Scan: var scan }
            ? new ScanInput(new RawScan(scan.DeviceIndex, time, scan.Values, scan.Qualities)) // a scan's own time is the input's
            : input with { Time = time };
    });
}
