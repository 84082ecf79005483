using System.Buffers.Binary;
using ThermoWatch.Simulator.Wire;

namespace ThermoWatch.Simulator.Tests.Wire;

public class RtuFramingTests
{
    // reference/protocol/modbus_crc.csv: payloads with their check sums as sent, sources named per row.
    [Fact]
    public void Check_sums_agree_with_published_frames()
    {
        int rows = 0;
        foreach (string[] row in Reference.Rows("protocol/modbus_crc.csv"))
        {
            byte[] sum = new byte[2];
            BinaryPrimitives.WriteUInt16LittleEndian(sum, RtuFraming.Crc(Convert.FromHexString(row[0])));
            Assert.Equal(row[1].Replace(" ", "", StringComparison.Ordinal), Convert.ToHexString(sum));
            rows++;
        }

        Assert.True(rows > 10, $"only {rows} rows");
    }

    // Every read row of reference/protocol/modbus_frames.csv that has both sides: the slave holds what the answer says.
    [Fact]
    public void Published_requests_get_the_published_answers()
    {
        int rows = 0;
        foreach (string[] row in Reference.Rows("protocol/modbus_frames.csv").Where(r => r[1] == "rtu" && r[2].Length == 16 && r[4].StartsWith("OK", StringComparison.Ordinal)))
        {
            byte[] request = Convert.FromHexString(row[2]), expected = Convert.FromHexString(row[3]);
            bool exception = expected.Length == 5 && (expected[1] & 0x80) != 0;
            if (request[1] is not (3 or 4) || expected.Length == 0 || (exception && expected[2] is not (2 or 3)))
            {
                continue;
            }

            var registers = new FixedRegisters();
            int address = BinaryPrimitives.ReadUInt16BigEndian(request.AsSpan(2));
            for (int i = 0; !exception && i < expected[2] / 2; i++)
            {
                registers.Put(request[1] == 3 ? RegisterTable.Holding : RegisterTable.Input, address + i, BinaryPrimitives.ReadUInt16BigEndian(expected.AsSpan(3 + (2 * i))));
            }

            byte[] answer = new byte[RtuFraming.MaxLength];
            Assert.Equal(RtuFraming.ReadLength, RtuFraming.ReadRequest(request));
            Assert.Equal(expected, answer[..RtuFraming.Answer(request, request[0], registers, false, answer)]);
            rows++;
        }

        Assert.True(rows >= 5, $"only {rows} rows");
    }

    [Fact]
    public void Request_for_another_unit_or_for_all_is_not_answered()
    {
        byte[] request = Convert.FromHexString("1103006B00037687"); // public Modbus tutorial, unit 17
        byte[] answer = new byte[RtuFraming.MaxLength];
        Assert.Equal(0, RtuFraming.Answer(request, 18, new FixedRegisters(), false, answer));
    }

    [Fact]
    public void Every_flipped_bit_is_noticed()
    {
        byte[] request = Convert.FromHexString("1103006B00037687");
        for (int bit = 0; bit < 8 * request.Length; bit++)
        {
            byte[] flipped = [.. request];
            flipped[bit / 8] ^= (byte)(1 << (bit % 8));
            Assert.Equal(0, RtuFraming.ReadRequest(flipped));
        }
    }
}
