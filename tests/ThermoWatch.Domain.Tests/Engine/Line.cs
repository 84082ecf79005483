using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Tests.Engine;

/// <summary>A cell put together channel by channel, and curves by the second for each of them.</summary>
internal sealed class Line
{
    private readonly List<(ChannelDefinition Channel, Func<double, double> Value)> _channels = [];

    public string[] Carriers { get; init; } = ["A"];

    public CellRules Rules { get; init; } = new();

    public double PeriodSeconds { get; init; } = 0.5;

    public Line Product(string id, Func<double, double> celsius, string? carrier = null, Place place = Place.Joint) =>
        Add(Bench.Channel(id, ChannelRole.Product, MeasuredUnit.DegreeCelsius, carrier, place), celsius);

    public Line Temperature(ChannelRole role, Func<double, double> celsius, string? carrier = null) =>
        Add(Bench.Channel(role.ToString(), role, MeasuredUnit.DegreeCelsius, carrier), celsius);

    public Line Pressure(Func<double, double> millibar) => Add(Bench.Channel("p", ChannelRole.Pressure, MeasuredUnit.Millibar, null), millibar);

    public Line Signal(SignalMeaning meaning, Func<double, double> value, string? carrier = null) =>
        Add(Bench.Channel(meaning.ToString() + carrier, ChannelRole.Signal, MeasuredUnit.One, carrier) with { Signal = meaning }, value);

    public Line Number(ChannelRole role, Func<double, double> value, string? carrier = null) =>
        Add(Bench.Channel(role.ToString() + carrier, role, MeasuredUnit.One, carrier), value);

    public CellDefinition Cell => new()
    {
        Number = 1,
        Name = "Line",
        Carriers = Carriers,
        Devices = [new DeviceDefinition("d", "Amplifier", TimeSpan.FromSeconds(PeriodSeconds), [.. _channels.Select(c => c.Channel.Id)])],
        Channels = [.. _channels.Select(c => c.Channel)],
        Rules = Rules,
    };

    /// <summary>A scan of all channels at every period; NaN is an open sensor.</summary>
    public IEnumerable<EngineInput> Scans(double until, double from = 0)
    {
        for (double t = from; t <= until; t += PeriodSeconds)
        {
            yield return Bench.Scan(t, [.. _channels.Select(c => c.Value(t))]);
        }
    }

    /// <summary>Lives through it, and says when runs began and ended in seconds.</summary>
    public (CellEngine Engine, List<EngineEvent> Events) Live(double until, params EngineInput[] first)
    {
        var engine = new CellEngine(Cell);
        return (engine, Bench.Feed(engine, first.Concat(Scans(until))));
    }

    /// <summary>On from one second to another.</summary>
    public static Func<double, double> On(params (double From, double To)[] spans) => t => spans.Any(s => t >= s.From && t < s.To) ? 1 : 0;

    private Line Add(ChannelDefinition channel, Func<double, double> value)
    {
        _channels.Add((channel, value));
        return this;
    }
}
