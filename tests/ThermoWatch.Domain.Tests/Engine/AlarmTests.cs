using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Tests.Engine;

public class AlarmTests
{
    private static readonly Spec s_spec = Bench.Sac305(
        new Limit { Figure = "peakTemperature", Upper = 245 }, new Limit { Figure = "peakTemperature", Upper = 240, Places = [Place.Body] });

    private static (CellEngine Engine, List<EngineEvent> Events) Start(Func<double, double> celsius, double until)
    {
        var engine = new CellEngine(Bench.Cell(products: 1, pressure: false));
        IEnumerable<EngineInput> inputs = Enumerable.Range(0, (int)(until * 2) + 1).Select(i => Bench.Scan(i * 0.5, celsius(i * 0.5)));
        return (engine, Bench.Feed(engine, inputs.Prepend(new SpecInput(Bench.Epoch, "A", s_spec))));
    }

    [Fact]
    public void Board_above_its_ceiling_for_a_second_is_too_hot_and_clears_past_the_deadband()
    {
        (CellEngine engine, List<EngineEvent> events) = Start(t => Bench.At(t, (0, 240), (10, 246), (20, 246), (40, 236)), 60);

        AlarmEvent[] alarms = [.. events.OfType<AlarmEvent>()];
        Assert.Equal([AlarmState.Unacknowledged, AlarmState.ReturnedUnacknowledged], alarms.Select(a => a.State));
        Assert.Equal(("tooHot/tc1", "tooHot", "tc1", 245.0), (alarms[0].AlarmId, alarms[0].Condition, alarms[0].ChannelId, alarms[0].Limit!.Value));
        // Above 245 from 8.33 s: the reading at 8.5 begins the second that ends with the one at 9.5 s.
        Assert.Equal(9.5, alarms[0].Time.SecondsSince(Bench.Epoch));
        // Below 244 from 24 s; the first reading below it.
        Assert.Equal(24.5, alarms[1].Time.SecondsSince(Bench.Epoch));
        Assert.Equal(246, Assert.Single(engine.Picture().Alarms).Value);
    }

    [Fact]
    public void Half_a_second_above_the_ceiling_raises_nothing()
    {
        (_, List<EngineEvent> events) = Start(t => t is 10 or 10.5 ? 247 : 243, 30);
        Assert.Empty(events.OfType<AlarmEvent>());
    }

    [Fact]
    public void Ceiling_of_another_place_does_not_count()
    {
        (_, List<EngineEvent> events) = Start(t => 243, 30);
        Assert.Empty(events.OfType<AlarmEvent>());
    }

    [Fact]
    public void Acknowledged_alarm_returns_to_normal_by_itself()
    {
        (CellEngine engine, List<EngineEvent> events) = Start(t => 250, 10);
        engine.Advance(new AcknowledgeInput(Bench.Epoch.AddSeconds(10), "tooHot/tc1", "Kim", "seen"), events);
        Bench.Feed(engine, []);
        engine.Advance(Bench.Scan(10.5, 230), events);
        engine.Advance(Bench.Scan(11, 230), events);

        Assert.Equal(
            [AlarmState.Unacknowledged, AlarmState.Acknowledged, AlarmState.Normal], events.OfType<AlarmEvent>().Select(a => a.State));
        Assert.Empty(engine.Picture().Alarms);
    }

    [Fact]
    public void Silent_device_turns_stale_after_three_periods_and_raises_an_alarm_after_three_seconds()
    {
        (CellEngine engine, List<EngineEvent> events) = Start(t => 25, 10);
        List<(double Second, Quality Quality, int Alarms)> seen = [];
        for (int i = 1; i <= 4; i++)
        {
            engine.Advance(new TickInput(Bench.Epoch.AddSeconds(10 + i)), events);
            seen.Add((i, engine.Readings[0].Quality.Level, events.OfType<AlarmEvent>().Count()));
        }

        Assert.Equal([(1, Quality.Good, 0), (2, Quality.Uncertain, 0), (3, Quality.Uncertain, 1), (4, Quality.Uncertain, 1)], seen);
        Assert.Equal(QualityReason.Stale, engine.Readings[0].Quality.Reason);
        Assert.Equal(25, engine.Readings[0].Value);
        Assert.Equal(("deviceSilent/d", AlarmState.Unacknowledged), events.OfType<AlarmEvent>().Select(a => (a.AlarmId, a.State)).Single());

        engine.Advance(Bench.Scan(15, 25), events);
        Assert.Equal(AlarmState.ReturnedUnacknowledged, events.OfType<AlarmEvent>().Last().State);
        Assert.Equal(SignalQuality.Good, engine.Readings[0].Quality);
    }

    [Fact]
    public void Device_reported_down_raises_its_alarm_at_once()
    {
        (CellEngine engine, List<EngineEvent> events) = Start(t => 25, 10);
        engine.Advance(new DeviceStateInput(Bench.Epoch.AddSeconds(10.1), 0, DeviceState.Down, "no route to the instrument"), events);

        Assert.Equal("deviceSilent", Assert.Single(events.OfType<AlarmEvent>()).Condition);
        Assert.Equal((DeviceState.Down, "no route to the instrument"), (engine.Picture().Devices[0].State, engine.Picture().Devices[0].Reason));
    }

    [Theory]
    [InlineData(DeviceState.Connecting)] // it is tried again, by this service or by the next one
    [InlineData(DeviceState.Unknown)]
    [InlineData(DeviceState.Suspect)]
    [InlineData(DeviceState.Up)] // something answers, and nothing was read yet
    public void Only_a_reading_takes_back_that_a_device_is_silent(DeviceState next)
    {
        (CellEngine engine, List<EngineEvent> events) = Start(t => 25, 10);
        engine.Advance(new DeviceStateInput(Bench.Epoch.AddSeconds(10.1), 0, DeviceState.Down, "no route to the instrument"), events);
        engine.Advance(new AcknowledgeInput(Bench.Epoch.AddSeconds(10.2), "deviceSilent/d", "Kim", "cable"), events);
        events.Clear();
        engine.Advance(new DeviceStateInput(Bench.Epoch.AddSeconds(10.3), 0, next, ""), events);
        engine.Advance(new ScanInput(new RawScan(0, Bench.Epoch.AddSeconds(10.5), [double.NaN], [SignalQuality.Bad(QualityReason.NoCommunication)])), events);
        engine.Advance(new TickInput(Bench.Epoch.AddSeconds(11.4)), events);
        engine.Advance(new DeviceStateInput(Bench.Epoch.AddSeconds(11.5), 0, DeviceState.Down, "no route to the instrument"), events);
        Assert.Empty(events.OfType<AlarmEvent>());

        engine.Advance(new DeviceStateInput(Bench.Epoch.AddSeconds(11.8), 0, DeviceState.Up, ""), events);
        engine.Advance(Bench.Scan(12, 25), events);
        Assert.Equal(AlarmState.Normal, Assert.Single(events.OfType<AlarmEvent>()).State);
    }

    [Fact]
    public void Reading_that_goes_back_in_time_is_bad_and_moves_nothing()
    {
        (CellEngine engine, _) = Start(t => 25, 10);
        engine.Advance(Bench.Scan(9, 300), []);
        Assert.Equal(SignalQuality.Bad(QualityReason.OutOfOrder), engine.Readings[0].Quality);
    }

    /// <summary>A board 6 K above what the fluid can boil at, with a chamber at rest at 1013 mbar until 300 s.</summary>
    private static List<AlarmEvent> AboveTheVapour(CellRules rules, double boilingPoint = 234, Func<double, double>? chamber = null)
    {
        Line line = new Line { Rules = rules }.Product("tc1", t => Bench.Board(t)).Pressure(chamber ?? (_ => 1013));
        Spec spec = Bench.Sac305() with { Fluid = new Fluid("x", boilingPoint, 1013, 55), Vacuum = null };
        return [.. line.Live(480, new SpecInput(Bench.Epoch, "A", spec)).Events.OfType<AlarmEvent>().Where(a => a.Condition == "tooHot")];
    }

    [Fact]
    public void Board_hotter_than_its_vapour_is_too_hot_although_no_limit_is_broken()
    {
        AlarmEvent raised = AboveTheVapour(new CellRules())[0];
        Assert.Equal(("tooHot", "tc1"), (raised.Condition, raised.ChannelId));
        Assert.Equal(237, raised.Limit!.Value, 1e-9);
        // 235 at 285 s, 240 at 305 s: above 237 from 293 s on, for a second.
        Assert.Equal(294.5, raised.Time.SecondsSince(Bench.Epoch), 0.51);
    }

    [Fact]
    public void Board_within_three_kelvin_of_its_vapour_is_not_too_hot() => Assert.Empty(AboveTheVapour(new CellRules(), boilingPoint: 238));

    [Fact]
    public void Vapour_says_nothing_of_a_board_from_the_first_evacuation_on() =>
        Assert.Empty(AboveTheVapour(new CellRules(), chamber: t => Bench.Chamber(t + 15)));

    [Fact]
    public void Vapour_says_nothing_where_the_station_heats_otherwise() => Assert.Empty(AboveTheVapour(new CellRules { VapourIsHottest = false }));

    [Fact]
    public void Fluid_boils_higher_at_a_higher_pressure_and_so_does_the_ceiling()
    {
        // Clausius-Clapeyron with 55 kJ/mol: 234 degC at 1013 mbar is 234.21 at 1018, about 0.043 K/mbar.
        double limit = AboveTheVapour(new CellRules(), chamber: _ => 1018)[0].Limit!.Value;
        Assert.Equal(237 + 0.193, limit, 0.05);
    }
}
