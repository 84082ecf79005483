using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;
using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Acquisition.Modbus;
using ThermoWatch.Acquisition.Replay;
using ThermoWatch.Acquisition.Tests.Links;
using ThermoWatch.Acquisition.Text;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Acquisition.Tests.Fuzz;

/// <summary>
/// Bytes that no honest peer sends, grown from a committed corpus. Nothing may throw or hang, and what is accepted must be right
/// by rules written here anew. Longer runs: THERMOWATCH_FUZZ=1000000.
/// </summary>
public sealed partial class FuzzTests
{
    private static readonly int Rounds = int.TryParse(Environment.GetEnvironmentVariable("THERMOWATCH_FUZZ"), CultureInfo.InvariantCulture, out int rounds) ? rounds : 20_000;

    [Fact]
    public void Rtu_client_ends_and_accepts_only_frames_that_check()
    {
        var random = new Random(1);
        byte[][] corpus = Corpus("rtu.txt", hex: true);
        int accepted = 0;
        for (int round = 0; round < Rounds; round++)
        {
            byte[] stream = Mutate(corpus, random);
            var time = new FakeTimeProvider();
            var client = new ModbusRtuClient(new VirtualLine(time, _ => Pieces(stream, random)), time, TimeSpan.FromMilliseconds(2));
            client.Open(TimeSpan.Zero);
            ModbusExchange exchange = client.Exchange(17, ModbusRequest.Read(ModbusTable.Holding, 0, 2), TimeSpan.FromMilliseconds(100));
            Assert.True((time.GetUtcNow() - time.Start).TotalMilliseconds <= 101);
            if (exchange.Status is not (ExchangeStatus.Ok or ExchangeStatus.Refused)) continue;
            accepted++;
            int length = exchange.Status == ExchangeStatus.Ok ? 9 : 5;
            byte[] echo = Convert.FromHexString("110300000002C69B");
            byte[] frame = stream.AsSpan().StartsWith(echo) ? stream[8..(8 + length)] : stream[..length];
            Assert.Equal(0, BitwiseCrc(frame)); // over body and check together: zero for a good frame
            Assert.Equal((17, length == 9 ? 3 : 0x83), ((int)frame[0], (int)frame[1]));
        }

        Assert.InRange(accepted, 1, Rounds - 1); // the corpus reaches both sides
    }

    /// <summary>What is listened to between polls: another master is told of exactly where a whole read request with a good check stands.</summary>
    [Fact]
    public void Listening_ends_and_names_another_master_only_where_one_speaks()
    {
        var random = new Random(6);
        byte[][] corpus = [.. Corpus("rtu.txt", hex: true), .. Corpus("requests.txt", hex: true)];
        int heard = 0;
        for (int round = 0; round < Rounds; round++)
        {
            byte[] stream = Mutate(corpus, random);
            var time = new FakeTimeProvider();
            var line = new VirtualLine(time, _ => []);
            foreach ((double at, byte[] piece) in Pieces(stream, random)) line.Say(at, piece);
            using var client = new ModbusRtuClient(line, time, TimeSpan.FromMilliseconds(2));
            client.Open(TimeSpan.Zero);
            byte[] got = client.Listen(TimeSpan.FromMilliseconds(100)).ToArray();
            Assert.True((time.GetUtcNow() - time.Start).TotalMilliseconds <= 101);
            Assert.Equal(Enumerable.Range(0, Math.Max(0, got.Length - 7)).Any(at => IsReadRequest(got[at..(at + 8)])), client.Disturbance is not null);
            if (client.Disturbance is not null) heard++;
        }

        Assert.InRange(heard, 1, Rounds - 1);
    }

    [Fact]
    public void Tcp_client_ends_and_accepts_only_our_reply()
    {
        var random = new Random(2);
        byte[][] corpus = Corpus("mbap.txt", hex: true);
        int accepted = 0;
        for (int round = 0; round < Rounds; round++)
        {
            byte[] stream = Mutate(corpus, random);
            var time = new FakeTimeProvider();
            var client = new ModbusTcpClient(new VirtualLine(time, _ => Pieces(stream, random)), time);
            client.Open(TimeSpan.Zero);
            ModbusExchange exchange = client.Exchange(1, ModbusRequest.Read(ModbusTable.Holding, 0, 2), TimeSpan.FromMilliseconds(100));
            Assert.True((time.GetUtcNow() - time.Start).TotalMilliseconds <= 101);
            if (exchange.Status is not (ExchangeStatus.Ok or ExchangeStatus.Refused)) continue;
            accepted++;
            string start = exchange.Status == ExchangeStatus.Ok ? "000100000007010304" : "0001000000030183";
            Assert.Contains(start, Convert.ToHexString(stream), StringComparison.Ordinal);
        }

        Assert.InRange(accepted, 1, Rounds - 1);
    }

    [Fact]
    public void Text_lines_are_taken_only_if_every_field_is_a_number()
    {
        var random = new Random(3);
        byte[][] corpus = Corpus("text.txt", hex: false);
        TextPoint[] points = [new() { Id = "a", Field = "0" }, new() { Id = "b", Field = "2" }];
        var plain = new TextLine(new TextFormat { FieldCount = 3 }, points);
        var named = new TextLine(new TextFormat { Layout = TextLayout.KeyValue, Separator = ' ' }, [points[0] with { Field = "a" }, points[1] with { Field = "c" }]);
        var values = new double[2];
        var qualities = new SignalQuality[2];
        int accepted = 0;
        for (int round = 0; round < Rounds; round++)
        {
            byte[] line = Mutate(corpus, random);
            named.Take(line, values, qualities);
            if (plain.Take(line, values, qualities) is not null) continue;
            accepted++;
            string[] fields = Encoding.Latin1.GetString(line).Split(',');
            Assert.Equal(3, fields.Length);
            Assert.Matches(PlainNumber(), fields[0].Trim(' ', '\t'));
            Assert.Matches(PlainNumber(), fields[2].Trim(' ', '\t'));
        }

        Assert.InRange(accepted, 1, Rounds - 1);
    }

    [Fact]
    public void Recordings_are_read_or_refused()
    {
        var random = new Random(4);
        byte[][] corpus = ["time_s,tc1\n0,25\n1,26\n"u8.ToArray(), "time_s,tc1 [degC] product\n0,\n0.1,2e3\n"u8.ToArray()];
        string[] points = ["tc1"];
        for (int round = 0; round < Rounds / 4; round++)
        {
            (IReadOnlyList<RecordedRow> rows, string? wrong) = CurveRows.Parse(Encoding.Latin1.GetString(Mutate(corpus, random)).Split('\n'), points);
            Assert.Equal(wrong is null, rows.Count > 0);
            for (int i = 1; i < rows.Count; i++) Assert.True(rows[i].Seconds > rows[i - 1].Seconds);
        }
    }

    // Modbus Application Protocol V1.1b3, 6.1 to 6.4: up to 2000 bits or 125 registers; units 0 to 247.
    private static bool IsReadRequest(byte[] frame)
    {
        int quantity = (frame[4] << 8) | frame[5];
        return frame[0] <= 247 && frame[1] is >= 1 and <= 4 && quantity >= 1 && quantity <= (frame[1] <= 2 ? 2000 : 125) && BitwiseCrc(frame) == 0;
    }

    private static byte[][] Corpus(string name, bool hex) =>
        [.. File.ReadAllLines(Path.Combine(AppContext.BaseDirectory, "Fuzz", "corpus", name))
            .Where(l => l.Length > 0 && l[0] != '#').Select(l => hex ? Convert.FromHexString(l) : Encoding.Latin1.GetBytes(l))];

    private static byte[] Mutate(byte[][] corpus, Random random)
    {
        List<byte> bytes = [.. corpus[random.Next(corpus.Length)]];
        for (int changes = random.Next(4); changes > 0; changes--)
        {
            int at = random.Next(bytes.Count + 1);
            switch (random.Next(6))
            {
                case 0 when at < bytes.Count: bytes[at] ^= (byte)(1 << random.Next(8)); break;
                case 1 when at < bytes.Count: bytes[at] = (byte)random.Next(256); break;
                case 2 when at < bytes.Count: bytes.RemoveAt(at); break;
                case 3: bytes.Insert(at, (byte)random.Next(256)); break;
                case 4: bytes.InsertRange(at, corpus[random.Next(corpus.Length)]); break;
                default: bytes.RemoveRange(at, bytes.Count - at); break;
            }
        }

        return [.. bytes];
    }

    private static List<(double, byte[])> Pieces(byte[] stream, Random random)
    {
        List<(double, byte[])> pieces = [];
        double at = 0;
        for (int i = 0; i < stream.Length;)
        {
            int length = Math.Min(random.Next(1, 20), stream.Length - i);
            pieces.Add((at += random.NextDouble() * 5, stream[i..(i + length)]));
            i += length;
        }

        return pieces;
    }

    // Bit by bit, as the standard's text describes it; ours goes by a table.
    private static int BitwiseCrc(byte[] bytes)
    {
        int crc = 0xFFFF;
        foreach (byte b in bytes)
        {
            crc ^= b;
            for (int bit = 0; bit < 8; bit++) crc = (crc & 1) == 1 ? (crc >> 1) ^ 0xA001 : crc >> 1;
        }

        return crc;
    }

    [GeneratedRegex(@"\A[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?\z")]
    private static partial Regex PlainNumber();
}
