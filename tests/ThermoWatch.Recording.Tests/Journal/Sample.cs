using System.Collections.Immutable;
using CsCheck;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Recording.Journal;
using Spec = ThermoWatch.Domain.Specs.Spec;

namespace ThermoWatch.Recording.Tests.Journal;

/// <summary>A cell, and things to record of it.</summary>
internal static class Sample
{
    public static readonly Timestamp Noon = Timestamp.From(new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero));

    public static CellDefinition Cell { get; } = new()
    {
        Number = 1,
        Name = "Line 2, oven \u00e4",
        Carriers = ["A", "B"],
        Devices =
        [
            new DeviceDefinition("amp", "Thermocouple amplifier", TimeSpan.FromMilliseconds(100), ["p0", "p1", "p2", "p3"]),
            new DeviceDefinition("gauge", "Pressure transducer", TimeSpan.FromMilliseconds(200), ["p"]),
        ],
        Channels =
        [
            new ChannelDefinition
            {
                Id = "tc1", Name = "Joint 1", Role = ChannelRole.Product, Place = Place.Body, Carrier = "A", Device = "amp", Point = "p0",
                Conversion = new ChannelConversion
                {
                    Unit = MeasuredUnit.Millivolt, Scale = 0.001, Thermocouple = 'K', ColdJunction = new ColdJunctionSource.FromChannel("cj"),
                },
            },
            new ChannelDefinition
            {
                Id = "tc2", Name = "Air", Role = ChannelRole.Product, Place = Place.Air, Carrier = "A", Device = "amp", Point = "p1",
                Conversion = new ChannelConversion
                {
                    Unit = MeasuredUnit.Millivolt, Thermocouple = 'K', ColdJunction = new ColdJunctionSource.Fixed(0.01),
                },
            },
            new ChannelDefinition
            {
                Id = "cj", Name = "Cold junction", Role = ChannelRole.ColdJunction, Device = "amp", Point = "p2",
                Conversion = new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius, Scale = 0.1, Offset = -40 },
            },
        ],
    };

    public static Spec Spec { get; } = new()
    {
        Name = "Gate driver",
        Version = 3,
        Alloy = new Alloy("SAC305", 217, 220),
        ChannelAlloys = ImmutableDictionary<string, Alloy>.Empty.Add("tc2", new Alloy("Sn42Bi58", 138, 138)),
        Fluid = new Fluid("240", 240, 1013.25),
        Soak = new SoakBand(150, 180),
        Vacuum = new VacuumSpec(20, [new VacuumStepSpec("void", 20)]),
        Uncertainty = DecisionRule.Guarded,
        Measurement = new MeasurementChain(1, null, 0.5, 0.5, 0.1, null),
        Limits =
        [
            new Limit { Figure = "sustainedPeak", Lower = 232, Places = [Place.Joint], Document = "sheet 4" },
            new Limit { Figure = "timeAboveLiquidus", Lower = 40, Upper = 90, Level = 217, Channels = ["tc1"], Severity = Severity.Warn },
        ],
    };

    /// <summary>A scan as an amplifier gives it: counts with a little noise.</summary>
    public static ScanInput Scan(int index, int device = 0, int points = 4) => new(new RawScan(
        device, Noon.AddSeconds(index * 0.1),
        [.. Enumerable.Range(0, points).Select(point => (double)(1000 + index % 300 * 3 + point * 40 + (index * 7919L + point * 104729) % 5))],
        new SignalQuality[points]));

    /// <summary>Any input at all.</summary>
    public static Gen<EngineInput> AnyInput { get; } = Gen.Frequency(
        (12, AnyScan()),
        (1, Gen.Long[0, DateTime.MaxValue.Ticks].Select(EngineInput (ticks) => new TickInput(new Timestamp(ticks)))),
        (1, Gen.Select(Gen.Int[0, 300], Gen.Enum<DeviceState>(), Gen.String.AlphaNumeric).Select(EngineInput (device, state, reason) => new DeviceStateInput(Noon, device, state, reason))),
        (1, Gen.Long[-TimeSpan.TicksPerDay, TimeSpan.TicksPerDay].Select(EngineInput (ticks) => new ClockStepInput(Noon, new TimeSpan(ticks)))),
        (1, Gen.String.AlphaNumeric.Select(EngineInput (by) => new AcknowledgeInput(Noon, "tooHot/tc1", by, "seen \u2713"))),
        (1, Gen.Select(Gen.String, Gen.Bool, Gen.Long[0, DateTime.MaxValue.Ticks]).Select(EngineInput (text, flag, ticks) => new ShelveInput(Noon, "limit/A/cycleTime", text, text, new Timestamp(ticks), flag))),
        (1, Gen.String.AlphaNumeric.Select(EngineInput (by) => new UnshelveInput(Noon, "limit/A/cycleTime", by))),
        (1, Gen.Select(Gen.String.AlphaNumeric, Gen.Bool).Select(EngineInput (by, @out) => new OutOfServiceInput(Noon, "coldJunction/cj", by, "being \"replaced\"", @out))),
        (1, Gen.String.AlphaNumeric.Select(EngineInput (by) => new ResetInput(Noon, "fluidOverheat/sump", by, "fluid drained"))),
        (1, Gen.Select(Gen.Bool, Gen.Double.Nullable()).Select(EngineInput (holds, value) => new ReportInput(Noon, "recording", holds, value, 60))),
        (1, Gen.Select(Gen.Enum<RunKind>().Nullable(), Gen.Int.Nullable()).Select(EngineInput (kind, recipe) => new StartRunInput(Noon, "B", "Kim", kind, recipe))),
        (1, Gen.Enum<RunKind>().Select(EngineInput (kind) => new RunKindInput(Noon, "B", kind, "Kim"))),
        (1, Gen.String.AlphaNumeric.Select(EngineInput (what) => new InterventionInput(Noon, "A", "Kim", what))),
        (1, Gen.Double.Select(EngineInput (level) => new SpecInput(Noon, "A", Spec with { SlopeWindow = level, Limits = [.. Spec.Limits, new Limit { Figure = "x", Upper = level }] }))));

    private static Gen<EngineInput> AnyScan() =>
        from device in Gen.Int[0, 2]
        from time in Gen.OneOf(Gen.Long[0, 20_000_000].Select(ticks => Noon.UtcTicks + ticks), Gen.Long)
        from values in Numbers.Adversarial.Array[0, 6]
        from qualities in Gen.Select(Gen.Enum<Quality>(), Gen.Enum<QualityReason>()).Select((level, reason) => new SignalQuality(level, reason)).Array[6]
        from steady in Gen.Bool
        select (EngineInput)new ScanInput(new RawScan(device, new Timestamp(time), values, steady ? new SignalQuality[values.Length] : qualities[..values.Length]));

    public static void AssertSame(EngineInput expected, EngineInput actual)
    {
        if (expected is ScanInput { Scan: var a } && actual is ScanInput { Scan: var b })
        {
            Assert.Equal((a.DeviceIndex, a.Time), (b.DeviceIndex, b.Time));
            Assert.Equal(a.Values.Select(BitConverter.DoubleToInt64Bits), b.Values.Select(BitConverter.DoubleToInt64Bits));
            Assert.Equal(a.Qualities, b.Qualities);
        }
        else if (expected is SpecInput { Spec: var wanted } && actual is SpecInput { Spec: var got })
        {
            Assert.Equal(expected.Time, actual.Time);
            Assert.Equivalent(wanted, got, strict: true);
        }
        else
        {
            Assert.Equal(expected, actual);
        }
    }

    public static void AssertSame(IEnumerable<EngineInput> expected, IEnumerable<JournalEntry> actual, long first = 1)
    {
        InputEntry[] entries = [.. actual.Select(Assert.IsType<InputEntry>)];
        EngineInput[] inputs = [.. expected];
        Assert.Equal(inputs.Length, entries.Length);
        for (int i = 0; i < inputs.Length; i++)
        {
            Assert.Equal(first + i, entries[i].Sequence);
            AssertSame(inputs[i], entries[i].Input);
        }
    }
}
