using System.Text.Json;
using System.Text.Json.Serialization;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Domain.Tests.Engine;

/// <summary>A record, and the cell that it was taken in.</summary>
internal sealed record Story(CellDefinition Cell, IReadOnlyList<EngineInput> Inputs);

/// <summary>Records in which much happens, for properties of the whole engine; and all that it says, as text.</summary>
internal static class Stories
{
    /// <summary>Every rule by which a run ends; the last is the transport's own sensor that has cooled.</summary>
    public static readonly string[] Endings =
        ["signal", "command", "cooled", "leftInMachine", "newRise", "unplugged", "position", "vented", "nextStart", "abandoned", "transport"];

    /// <summary>Two carriers with noise, gaps, spikes, open sensors, ticks, device states, acknowledgements, two specs.</summary>
    public static Story TwoCarriers(int seed)
    {
        var random = new Random(seed);
        Spec spec = Bench.Sac305(new Limit { Figure = "peakTemperature", Upper = 238 }, new Limit { Figure = "timeAboveLiquidus", Lower = 40, Upper = 90 });
        var inputs = new List<EngineInput> { new SpecInput(Bench.Epoch, "A", spec) };
        for (int i = 0; i < 1500; i++)
        {
            double t = (i * 0.5) + (random.NextDouble() * 0.1);
            double noise() => (random.NextDouble() - 0.5) * 0.4;
            double a = Bench.Board(t) + noise();
            double b = Bench.Board(t, 150) + noise();
            a = random.Next(300) == 0 ? a + 40 : random.Next(200) == 0 ? double.NaN : a;
            if (i % 400 is > 200 and < 209)
            {
                inputs.Add(new TickInput(Bench.Epoch.AddSeconds(t)));
            }
            else
            {
                inputs.Add(Bench.Scan(t, a, Bench.Board(t, 3) + noise(), b, Bench.Board(t, 152), Bench.Chamber(t) * (1 + (noise() / 200))));
            }

            if (i == 700)
            {
                inputs.Add(new AcknowledgeInput(Bench.Epoch.AddSeconds(t), "tooHot/A1", "Kim", ""));
                inputs.Add(new SpecInput(Bench.Epoch.AddSeconds(t), "B", spec with { Version = 2 }));
                inputs.Add(new DeviceStateInput(Bench.Epoch.AddSeconds(t), 0, DeviceState.Suspect, "slow"));
            }
        }

        return new Story(Bench.Cell(carriers: ["A", "B"]), inputs);
    }

    /// <summary>One instrumented carrier and one that only signals, positions and the vapour show.</summary>
    public static Story SignalsAndVapour(int seed)
    {
        var random = new Random(seed);
        double noise() => (random.NextDouble() - 0.5) * 0.3;
        double lag = random.Next(20);
        Line line = new Line { Carriers = ["A", "B"], Rules = new CellRules { MotionAbove = 0.5 } }
            .Product("a1", t => Bench.Board(t, lag) + noise(), "A").Product("b1", t => t is > 500 and < 520 ? 25 : double.NaN, "B")
            .Temperature(ChannelRole.Vapour, t => Bench.At((t + lag) % 250, (60, 240), (70, 228), (90, 240)) + noise())
            .Temperature(ChannelRole.Transport, t => Bench.Board(t - 50) + noise(), "B").Pressure(t => Bench.Chamber(t % 350) * (1 + (noise() / 100)))
            .Signal(SignalMeaning.Recipe, t => t < 300 ? 12 : 14).Signal(SignalMeaning.Unload, Line.On((450 + lag, 452 + lag)), "A")
            .Signal(SignalMeaning.Valve, t => random.Next(50) == 0 ? double.NaN : Line.On((620 + lag, 650 + lag))(t))
            .Number(ChannelRole.Position, t => t is > 540 and < 600 ? 1 : 0, "B").Number(ChannelRole.Motion, t => t is > 700 and < 702 ? 1 : noise(), "B");
        return new Story(line.Cell, [new SpecInput(Bench.Epoch, "A", Bench.Sac305()), .. line.Scans(750)]);
    }

    /// <summary>A run that ends by the rule of that name, with noise and at a moment of its own, and some time after it.</summary>
    public static Story Ending(string by, int seed)
    {
        var random = new Random(seed);
        double lag = random.NextDouble() * 10;
        double noise() => (random.NextDouble() - 0.5) * 0.3;
        double open(double _) => double.NaN;
        double vapour(double t) => Bench.At(t, (100, 240), (110, 228), (130, 240), (288, 240), (302, 200), (320, 240)) + (noise() / 10);
        double hot(double t, double low) => Bench.At(t - lag, (60, 25), (180, 240), (195, 240), (260, low));
        var commands = new List<EngineInput>();
        double until = 480;
        Line line;
        switch (by)
        {
            case "signal":
                line = new Line().Product("tc1", open).Pressure(Bench.Chamber).Signal(SignalMeaning.Start, Line.On((80 + lag, 82 + lag)))
                    .Signal(SignalMeaning.Unload, Line.On((430 + lag, 432 + lag)));
                break;
            case "command":
                line = new Line().Product("tc1", t => Bench.Board(t, lag) + noise());
                commands.Add(new StartRunInput(Bench.Epoch.AddSeconds(40 + lag), "A", "Kim", RunKind.Verification, 7));
                commands.Add(new EndRunInput(Bench.Epoch.AddSeconds(380 + lag), "A", "Kim"));
                break;
            case "cooled":
                line = new Line().Product("tc1", t => Bench.Board(t, lag) + noise()).Product("tc2", t => Bench.Board(t, lag + 3) + noise());
                break;
            case "leftInMachine":
                line = new Line().Product("tc1", t => hot(t, 110) + noise()).Product("tc2", t => hot(t - 2, 105) + noise());
                break;
            case "newRise":
                // The second board comes before the first has cooled: one run ends at its least, the next begins.
                line = new Line().Product("tc1", t => (t < 300 ? hot(t, 90) : Bench.At(t, (300, 90), (450, 240))) + noise())
                    .Product("tc2", t => (t < 302 ? hot(t - 1, 88) : Bench.At(t, (302, 88), (450, 235))) + noise());
                break;
            case "unplugged":
                line = new Line().Product("tc1", t => t > 270 + lag ? double.NaN : hot(t, 90) + noise()).Product("tc2", t => t > 274 + lag ? double.NaN : hot(t - 1, 90) + noise());
                until = 400;
                break;
            case "position":
                line = new Line().Pressure(_ => 1013).Number(ChannelRole.Position, t => t >= 50 + lag && t < 200 + lag ? 3 : 0, "A");
                until = 260;
                break;
            case "vented":
                line = new Line().Product("tc1", open).Temperature(ChannelRole.Vapour, t => vapour(t - lag)).Pressure(t => Bench.Chamber(t - lag));
                break;
            case "nextStart":
                line = new Line().Temperature(ChannelRole.Vapour, t => Bench.At((t + lag) % 150, (60, 240), (70, 228), (90, 240)) + (noise() / 10));
                break;
            case "abandoned":
                line = new Line { Rules = new CellRules { AbandonAfter = TimeSpan.FromSeconds(150) } }
                    .Product("tc1", t => Bench.At(t, (60 + lag, 25), (180 + lag, 240)) + noise()).Signal(SignalMeaning.Start, Line.On((50 + lag, 52 + lag)));
                until = 300;
                break;
            case "transport":
                line = new Line().Temperature(ChannelRole.Transport, t => Bench.Board(t, lag) + noise()).Temperature(ChannelRole.Vapour, vapour).Pressure(Bench.Chamber);
                break;
            default:
                throw new ArgumentException($"No record ends by {by}.", nameof(by));
        }

        IEnumerable<EngineInput> all = commands.Prepend(new SpecInput(Bench.Epoch, "A", Bench.Sac305(new Limit { Figure = "peakTemperature", Upper = 238 })));
        return new Story(line.Cell, [.. all.Concat(line.Scans(until)).OrderBy(i => i.Time.UtcTicks)]);
    }

    /// <summary>The name that the run's end has for the rule.</summary>
    public static string ReasonOf(string ending) => ending == "transport" ? "cooled" : ending;

    /// <summary>Everything that was said and that stands at the end, times counted from a moment in ticks.</summary>
    public static string Text(IEnumerable<EngineEvent> events, CellEngine engine, Timestamp from)
    {
        var options = new JsonSerializerOptions { Converters = { new TicksFrom(from) } };
        return string.Join('\n', events.Select(e => $"{e.GetType().Name} {JsonSerializer.Serialize(e, e.GetType(), options)}")
            .Append(JsonSerializer.Serialize(engine.Picture(), options)));
    }

    private sealed class TicksFrom(Timestamp from) : JsonConverter<Timestamp>
    {
        public override Timestamp Read(ref Utf8JsonReader reader, Type type, JsonSerializerOptions options) => throw new NotSupportedException();

        // Tick 0 is no moment: a device whose connection nobody has reported has been as it is since always.
        public override void Write(Utf8JsonWriter writer, Timestamp value, JsonSerializerOptions options)
        {
            if (value.UtcTicks == 0)
            {
                writer.WriteNullValue();
            }
            else
            {
                writer.WriteNumberValue((value - from).Ticks);
            }
        }
    }
}
