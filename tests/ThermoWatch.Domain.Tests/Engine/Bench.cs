using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Tests.Engine;

/// <summary>A small cell, and straight-line curves fed to it as a device would.</summary>
internal static class Bench
{
    public static readonly Timestamp Epoch = Timestamp.From(new DateTimeOffset(2026, 3, 2, 6, 0, 0, TimeSpan.Zero));

    public static Spec Sac305(params Limit[] limits) => new()
    {
        Name = "Inverter board",
        Version = 1,
        Alloy = new Alloy("SAC305", 217, 217),
        Soak = new SoakBand(150, 200),
        Vacuum = new VacuumSpec(50, []),
        Limits = [.. limits],
    };

    public static CellDefinition Cell(int products = 2, bool pressure = true, double periodSeconds = 0.5, CellRules? rules = null, string[]? carriers = null)
    {
        carriers ??= ["A"];
        var channels = new List<ChannelDefinition>();
        foreach (string carrier in carriers)
        {
            for (int i = 1; i <= products; i++)
            {
                channels.Add(Channel(carriers.Length == 1 ? $"tc{i}" : $"{carrier}{i}", ChannelRole.Product, MeasuredUnit.DegreeCelsius, carrier));
            }
        }

        if (pressure)
        {
            channels.Add(Channel("p", ChannelRole.Pressure, MeasuredUnit.Millibar, null));
        }

        return new CellDefinition
        {
            Number = 1,
            Name = "Cell 1",
            Carriers = carriers,
            Devices = [new DeviceDefinition("d", "Amplifier", TimeSpan.FromSeconds(periodSeconds), [.. channels.Select(c => c.Id)])],
            Channels = channels,
            Rules = rules ?? new CellRules(),
        };
    }

    public static ChannelDefinition Channel(string id, ChannelRole role, MeasuredUnit unit, string? carrier, Place place = Place.Joint) => new()
    {
        Id = id,
        Name = id,
        Role = role,
        Place = place,
        Carrier = carrier,
        Device = "d",
        Point = id,
        Conversion = new ChannelConversion { Unit = unit },
    };

    /// <summary>A scan of all points; NaN is an open sensor.</summary>
    public static ScanInput Scan(double seconds, params double[] values) => new(new RawScan(
        0, Epoch.AddSeconds(seconds), values,
        [.. values.Select(v => double.IsNaN(v) ? SignalQuality.Bad(QualityReason.OpenCircuit) : SignalQuality.Good)]));

    /// <summary>Value of a broken line at a time; it stays level before its first point and after its last.</summary>
    public static double At(double seconds, params (double Seconds, double Value)[] points)
    {
        if (seconds <= points[0].Seconds)
        {
            return points[0].Value;
        }

        for (int i = 1; i < points.Length; i++)
        {
            if (seconds <= points[i].Seconds)
            {
                (double t1, double v1) = points[i - 1];
                (double t2, double v2) = points[i];
                return v1 + ((v2 - v1) * (seconds - t1) / (t2 - t1));
            }
        }

        return points[^1].Value;
    }

    /// <summary>The run of the profile examples, with a waiting minute before and cooled after; from its second 60 on.</summary>
    public static double Board(double seconds, double lag = 0) => At(
        seconds - 60 - lag,
        (0, 25), (60, 130), (90, 160), (180, 170), (210, 215), (225, 235), (245, 240), (255, 240), (265, 228), (285, 205), (330, 85), (400, 30));

    public static double Chamber(double seconds) => At(
        seconds - 60, (0, 1013), (228, 1013), (233, 500), (238, 100), (242, 20), (252, 20), (256, 500), (258, 1013), (330, 1013));

    /// <summary>The whole of a run with two boards sensors and a chamber gauge.</summary>
    public static IEnumerable<EngineInput> Cycle(double period = 0.5, double offset = 0, double length = 480)
    {
        for (int i = 0; i * period <= length; i++)
        {
            double t = i * period;
            yield return Scan(offset + t, Board(t), Board(t, 2) - 2, Chamber(t));
        }
    }

    public static List<EngineEvent> Feed(CellEngine engine, IEnumerable<EngineInput> inputs)
    {
        var events = new List<EngineEvent>();
        foreach (EngineInput input in inputs)
        {
            engine.Advance(input, events);
        }

        return events;
    }
}
