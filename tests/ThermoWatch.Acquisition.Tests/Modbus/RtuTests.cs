using CsCheck;
using ThermoWatch.Acquisition.Modbus;
using static ThermoWatch.Acquisition.Tests.Modbus.FrameVectors;

namespace ThermoWatch.Acquisition.Tests.Modbus;

public sealed class RtuTests
{
    public static TheoryData<string> Names => [.. Of("rtu").Select(f => f.Name)];

    [Fact]
    public void Every_published_check_is_ours() => Assert.All(ReferenceTable.Read("protocol/modbus_crc.csv"), row =>
    {
        ushort crc = Crc16.Of(Convert.FromHexString(row["hex_payload"]));
        Assert.Equal(row["crc_lo_hi"], $"{crc & 0xFF:X2} {crc >> 8:X2}");
    });

    [Theory]
    [MemberData(nameof(Names))]
    public void Published_requests_are_sent_byte_for_byte(string name)
    {
        byte[] wire = Of("rtu").Single(f => f.Name == name).Request;
        if (wire.Length == 0 || !TryRequest(wire.AsSpan(1, wire.Length - 3), out ModbusRequest request))
        {
            // Rows that show what a slave refuses, or function 22: nothing of ours makes such a request.
            Assert.True(wire.Length == 0 || wire[1] == 22 || name.StartsWith("rtu_server_", StringComparison.Ordinal), name);
            return;
        }

        byte[] ours = new byte[Rtu.MaxLength];
        Assert.Equal(Convert.ToHexString(wire), Convert.ToHexString(ours.AsSpan(0, Rtu.Encode(wire[0], request, ours))));
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void Published_replies_are_taken_or_rejected_as_they_say(string name)
    {
        Frame frame = Of("rtu").Single(f => f.Name == name);
        if (frame.Response.Length == 0) return; // nothing comes back
        bool ok = frame.Meaning.StartsWith("OK", StringComparison.Ordinal);
        Rtu reply = Rtu.Parse(frame.Response);
        bool known = frame.Request.Length > 0 && TryRequest(frame.Request.AsSpan(1, frame.Request.Length - 3), out ModbusRequest request);
        if (frame.Request.Length > 0 && !known)
        {
            Assert.True(frame.Request[1] == 22 ? reply.Status == RtuStatus.NotAReply : reply.Status == RtuStatus.Whole);
            return;
        }

        bool taken = false;
        if (reply.Status == RtuStatus.Whole && frame.Request.Length > 0 && reply.Unit == frame.Request[0])
        {
            TryRequest(frame.Request.AsSpan(1, frame.Request.Length - 3), out request);
            PduReply parsed = PduReply.Parse(frame.Response.AsSpan(1, reply.Length - 3), request);
            taken = parsed.Status is ReplyStatus.Ok or ReplyStatus.Refused;
            if (frame.Meaning.StartsWith("OK exception", StringComparison.Ordinal)) Assert.Equal((ReplyStatus.Refused, frame.Response[2]), (parsed.Status, parsed.ExceptionCode));
        }

        Assert.Equal(ok, taken);
    }

    [Fact]
    public void A_good_frame_and_a_zero_byte_ends_where_its_length_says()
    {
        byte[] frame = Of("rtu").Single(f => f.Name == "rtu_fc03_unit17_b").Response;
        Assert.Equal(frame.Length, Rtu.Parse([.. frame, 0]).Length);
        Assert.Equal(Crc16.Of([.. frame, 0]), Crc16.Of([.. frame, 0, 0])); // the trap: both longer stretches check to zero
    }

    [Fact]
    public void Every_prefix_waits_for_more_and_every_flipped_bit_is_found() => Gen.Byte.Array[2, 250].Where(b => b.Length % 2 == 0).Sample(registers =>
    {
        byte[] frame = WithCrc([17, 3, (byte)registers.Length, .. registers]);
        Assert.Equal(new Rtu(RtuStatus.Whole, 17, frame.Length), Rtu.Parse(frame));
        for (int length = 0; length < frame.Length; length++) Assert.Equal(RtuStatus.NeedMore, Rtu.Parse(frame.AsSpan(0, length)).Status);
        for (int bit = 0; bit < 8 * frame.Length; bit++)
        {
            frame[bit / 8] ^= (byte)(1 << (bit % 8));
            Assert.NotEqual(RtuStatus.Whole, Rtu.Parse(frame).Status);
            frame[bit / 8] ^= (byte)(1 << (bit % 8));
        }
    }, iter: 20);

    [Fact]
    public void Identification_ends_after_its_last_object()
    {
        // Application Protocol V1.1b3, 6.21: three objects, "Company identification", "Product code XX", "V2.11".
        byte[] frame = WithCrc([
            17, 0x2B, 0x0E, 0x01, 0x01, 0x00, 0x00, 0x03,
            0, 22, .. "Company identification"u8, 1, 15, .. "Product code XX"u8, 2, 5, .. "V2.11"u8]);
        Assert.Equal(new Rtu(RtuStatus.Whole, 17, frame.Length), Rtu.Parse(frame));
        for (int length = 0; length < frame.Length; length++) Assert.Equal(RtuStatus.NeedMore, Rtu.Parse(frame.AsSpan(0, length)).Status);
    }

    internal static byte[] WithCrc(byte[] body)
    {
        ushort crc = Crc16.Of(body);
        return [.. body, (byte)(crc & 0xFF), (byte)(crc >> 8)];
    }
}
