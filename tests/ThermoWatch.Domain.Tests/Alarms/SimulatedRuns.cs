using System.Text;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Simulator;
using ThermoWatch.Simulator.Fleet;
using ThermoWatch.Simulator.Scenarios;

namespace ThermoWatch.Domain.Tests.Alarms;

/// <summary>A cell wired to the simulated machine as the demo's is, and the machine's runs as the wire would bring them.</summary>
internal static class SimulatedRuns
{
    public static readonly Timestamp Epoch = Timestamp.From(new DateTimeOffset(2026, 3, 2, 6, 0, 0, TimeSpan.Zero));

    /// <summary>Limits that a good run of every family and load of the simulator meets, most of them with little to spare.</summary>
    public static Spec Spec { get; } = Parse("""
        {
          "name": "Traction board", "version": 3,
          "alloy": { "name": "SAC305", "solidus": 217.0, "liquidus": 220.0 },
          "fluid": { "name": "230", "boilingPoint": 230.0, "at_hPa": 1013.25 },
          "soak": { "from": 150.0, "to": 180.0 },
          "vacuum": { "target": 5.0, "unit": "mbar", "steps": [ { "purpose": "void", "target": 5.0 } ] },
          "measurement": { "class": 1, "extension": 1, "coldJunction_K": 0.5, "instrument_K": 0.5, "resolution_K": 0.1, "attachment_K": null },
          "limits": [
            { "figure": "soakTime", "lower": 60, "upper": 120 },
            { "figure": "steepestHeating", "upper": 4 },
            { "figure": "sustainedPeak", "lower": 225, "places": ["joint"] },
            { "figure": "peakTemperature", "upper": 235 },
            { "figure": "liquidusSpread", "upper": 20 },
            { "figure": "timeAboveLiquidus", "lower": 40, "upper": 90 },
            { "figure": "pumpDownTime", "upper": 20 },
            { "figure": "vacuumHold", "lower": 10, "upper": 30 },
            { "figure": "moltenAtEvacuation", "lower": 3 },
            { "figure": "coolingRate", "lower": 1, "upper": 4 } ]
        }
        """);

    /// <summary>The cell; without product sensors where a production machine has none.</summary>
    public static CellDefinition Cell(bool instrumented = true, int boards = 4, double periodSeconds = 0.2) => new()
    {
        Number = 1,
        Name = "Cell 1",
        Carriers = ["A"],
        Devices = [new DeviceDefinition("amp", "Amplifier", TimeSpan.FromSeconds(periodSeconds), [.. Enumerable.Range(0, SimulatedChannels.Count).Select(i => $"p{i}")])],
        Channels =
        [
            .. Enumerable.Range(0, 2 * boards).Where(_ => instrumented).Select(i => Thermocouple($"tc{i + 1}", ChannelRole.Product, i)),
            Thermocouple("vapour", ChannelRole.Vapour, SimulatedChannels.Vapour),
            Thermocouple("transport", ChannelRole.Transport, SimulatedChannels.Transport),
            Channel("cj", ChannelRole.ColdJunction, SimulatedChannels.ColdJunction, new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius }),
            Channel("p", ChannelRole.Pressure, SimulatedChannels.Pressure, new ChannelConversion { Unit = MeasuredUnit.Millibar }),
        ],
    };

    /// <summary>One played run as inputs, its loading at a moment.</summary>
    public static IEnumerable<EngineInput> Inputs(FleetRun run, Timestamp loaded)
    {
        Timestamp last = loaded;
        foreach (FleetRow row in run.Rows)
        {
            Timestamp time = loaded.AddSeconds(row.Seconds);
            if (row.Arrived)
            {
                last = time;
                yield return new ScanInput(ScanOf(time, row.Measured));
            }
            else if (time - last >= TimeSpan.FromSeconds(1))
            {
                last = time;
                yield return new TickInput(time);
            }
        }
    }

    /// <summary>A scenario as inputs, from its first moment on, until a run has been unloaded.</summary>
    public static IEnumerable<EngineInput> Inputs(Scenario scenario, int runs, int seed = 1, int everySamples = 2)
    {
        var cell = new SimulatedCell(new SimulatorOptions { Seed = seed }, scenario);
        Timestamp last = Epoch;
        for (TimeSpan at = TimeSpan.Zero; cell.Truth.RunNumber <= runs; at += everySamples * SimulatedCell.SamplePeriod)
        {
            cell.AdvanceTo(at);
            last = Epoch + at;
            yield return new ScanInput(ScanOf(last, cell.Instruments));
        }
    }

    private static RawScan ScanOf(Timestamp time, InstrumentFrame frame)
    {
        var values = new double[frame.Values.Length];
        for (int i = 0; i < values.Length; i++)
        {
            values[i] = frame.Values[i];
        }

        return new RawScan(0, time, values, new SignalQuality[values.Length]);
    }

    private static ChannelDefinition Thermocouple(string id, ChannelRole role, int point) => Channel(id, role, point, new ChannelConversion
    {
        Unit = MeasuredUnit.Millivolt,
        Thermocouple = 'K',
        ColdJunction = new ColdJunctionSource.FromChannel("cj"),
    });

    private static ChannelDefinition Channel(string id, ChannelRole role, int point, ChannelConversion conversion) => new()
    {
        Id = id,
        Name = id,
        Role = role,
        Carrier = role == ChannelRole.Product ? "A" : null,
        Device = "amp",
        Point = $"p{point}",
        Conversion = conversion,
    };

    private static Spec Parse(string json) => SpecFile.Parse(Encoding.UTF8.GetBytes(json)).Spec!;
}
