using System.Text.Json;
using CsCheck;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Feeds.Mqtt;

namespace ThermoWatch.Feeds.Tests.Mqtt;

/// <summary>Messages of readings, as another reader of JSON (System.Text.Json) understands them.</summary>
public sealed class ScanWriterTests
{
    private static readonly Gen<Reading> s_reading = Gen.Select(Gen.Double, Gen.Int[0, 3]).Select((value, kind) => kind switch
    {
        0 => Reading.Bad(default, QualityReason.OpenCircuit),
        1 => new Reading(default, value, SignalQuality.Uncertain(QualityReason.Spike)),
        _ => new Reading(default, value, SignalQuality.Good),
    });

    [Fact]
    public void Any_reading_comes_back_to_the_bit_with_its_quality_under_any_name() =>
        Gen.Select(Gen.String[1, 12].Array[1, 5].Where(n => n.All(Writable) && n.Distinct().Count() == n.Length), s_reading.Array[5], Gen.Long[0, DateTime.MaxValue.Ticks], Gen.Long[1, long.MaxValue], Gen.Bool).Sample(
            (names, readings, ticks, sequence, historical) =>
            {
                CellDefinition cell = Sample.Cell(names.Length);
                cell = cell with { Channels = [.. cell.Channels.Select((c, i) => c with { Id = names[i] })] };
                var time = new Timestamp(ticks);
                int[] channels = [.. Enumerable.Range(0, names.Length)];
                var scan = new ScanItem(cell, sequence, time, channels, readings[..names.Length]);
                using JsonDocument read = JsonDocument.Parse(new ScanWriter().Write([scan, scan], historical));
                Assert.Equal(historical, read.RootElement.TryGetProperty("historical", out JsonElement said) && said.GetBoolean());
                Assert.Equal(2, read.RootElement.GetProperty("scans").GetArrayLength());
                foreach (JsonElement back in read.RootElement.GetProperty("scans").EnumerateArray())
                {
                    Assert.Equal((sequence, time.ToString()), (back.GetProperty("seq").GetInt64(), back.GetProperty("t").GetString()));
                    Assert.Equal(names, back.GetProperty("values").EnumerateObject().Select(p => p.Name));
                    for (int i = 0; i < names.Length; i++)
                    {
                        JsonElement value = back.GetProperty("values").GetProperty(names[i]);
                        Reading reading = readings[i];
                        long? bits = reading.Quality.HasValue && double.IsFinite(reading.Value) ? BitConverter.DoubleToInt64Bits(reading.Value) : null;
                        Assert.Equal(bits, value.ValueKind == JsonValueKind.Null ? null : BitConverter.DoubleToInt64Bits(value.GetDouble()));
                        string? quality = back.TryGetProperty("quality", out JsonElement all) && all.TryGetProperty(names[i], out JsonElement one) ? one.GetString() : null;
                        Assert.Equal(reading.Quality.Level == Quality.Good ? null : reading.Quality.ToString(), quality);
                    }
                }
            },
            iter: 3000);

    private static bool Writable(string name)
    {
        for (int i = 0; i < name.Length; i++)
        {
            if (char.IsSurrogate(name[i]))
            {
                return false; // half a sign has no spelling; whole ones are covered by the written cases
            }
        }

        return name.Length > 0;
    }

    [Fact]
    public void A_name_beyond_the_first_plane_is_written_whole()
    {
        CellDefinition cell = Sample.Cell(1);
        cell = cell with { Channels = [cell.Channels[0] with { Id = "T\"\\ \U0001F525" }] };
        using JsonDocument read = JsonDocument.Parse(new ScanWriter().Write([Sample.Scan(cell, 5)], false));
        Assert.Equal("T\"\\ \U0001F525", read.RootElement.GetProperty("scans")[0].GetProperty("values").EnumerateObject().Single().Name);
    }
}
