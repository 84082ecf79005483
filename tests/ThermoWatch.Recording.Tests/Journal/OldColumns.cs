using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Recording.Tests.Journal;

/// <summary>What stands in <c>archive-v1-columns.twb</c>: columns long enough for every way of holding one that version 1 had.</summary>
internal static class OldColumns
{
    public static CellDefinition Cell { get; } = new()
    {
        Number = 1,
        Name = "Old oven",
        Carriers = ["A"],
        Devices = [new DeviceDefinition("d", "Device", TimeSpan.FromMilliseconds(100), ["ramp", "steps", "wild", "decimal", "still"])],
        Channels = [],
    };

    public static EngineInput[] Inputs { get; } = [.. Enumerable.Range(0, 1500).Select(EngineInput (i) => new ScanInput(new RawScan(0,
        new Timestamp(Sample0.UtcTicks + i * 1_000_000L + Noise(i, 0) % 3 * 10_000),
        [
            20_000 + i * 7 + Noise(i, 1) % 9,                                             // least-squares line
            i / 100 % 2 == 0 ? 5 : -700_000,                                              // the value before
            BitConverter.Int64BitsToDouble(unchecked((long)((ulong)Noise(i, 3) * 0x9E3779B97F4A7C15UL))), // written out
            i is > 300 and < 330 ? double.NaN : (23_000 + Noise(i, 4) % 5) / 100.0,       // hundredths, and a sensor that opens
            42,                                                                           // constant
        ],
        [default, default, default, i is > 300 and < 330 ? SignalQuality.Bad(QualityReason.OpenCircuit) : default, default])))];

    private static Timestamp Sample0 { get; } = Timestamp.From(new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero));

    private static long Noise(long i, long salt) => (i * 7919 + salt * 104_729 + i * i % 97 * 31) % 1009;
}
