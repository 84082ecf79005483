using CsCheck;
using ThermoWatch.Acquisition.Modbus;
using static ThermoWatch.Acquisition.Tests.Modbus.FrameVectors;

namespace ThermoWatch.Acquisition.Tests.Modbus;

public sealed class MbapTests
{
    public static TheoryData<string> Names => [.. Of("tcp").Select(f => f.Name)];

    [Theory]
    [MemberData(nameof(Names))]
    public void Published_requests_are_sent_byte_for_byte(string name)
    {
        byte[] wire = Of("tcp").Single(f => f.Name == name).Request;
        for (int at = 0; at < wire.Length;)
        {
            int length = 6 + wire[at + 5];
            byte[] adu = wire[at..(at + length)];
            at += length;
            bool known = TryRequest(adu.AsSpan(7), out ModbusRequest request);
            Assert.True(known, $"{name} holds a request that the test cannot read");
            byte[] ours = new byte[Mbap.MaxLength];
            int written = Mbap.Encode((ushort)((adu[0] << 8) | adu[1]), adu[6], request, ours);
            Assert.Equal(Convert.ToHexString(adu), Convert.ToHexString(ours.AsSpan(0, written)));
        }
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void Published_replies_are_taken_or_rejected_as_they_say(string name)
    {
        Frame frame = Of("tcp").Single(f => f.Name == name);
        if (frame.Response.Length == 0)
        {
            // A row without a reply: a faulty request must not be taken for a frame, a good one is.
            Assert.Equal(frame.Meaning.StartsWith("REJECT", StringComparison.Ordinal) ? MbapStatus.Broken : MbapStatus.Whole, FirstOf(frame).Status);
            return;
        }

        Mbap reply = Mbap.Parse(frame.Response);
        if (frame.Meaning.StartsWith("REJECT", StringComparison.Ordinal))
        {
            bool otherTransaction = reply.Status == MbapStatus.Whole && frame.Request.Length >= 2
                && reply.Transaction != ((frame.Request[0] << 8) | frame.Request[1]);
            Assert.True(reply.Status == MbapStatus.Broken || otherTransaction);
            return;
        }

        Assert.Equal(MbapStatus.Whole, reply.Status);
        Assert.True(TryRequest(frame.Request.AsSpan(7, frame.Request[5] - 1), out ModbusRequest request));
        PduReply parsed = PduReply.Parse(frame.Response.AsSpan(Mbap.HeaderLength, reply.Length - Mbap.HeaderLength), request);
        bool refused = frame.Meaning.StartsWith("OK exception", StringComparison.Ordinal);
        Assert.Equal(refused ? ReplyStatus.Refused : ReplyStatus.Ok, parsed.Status);
        if (refused) Assert.Equal(frame.Response[^1], parsed.ExceptionCode);
    }

    [Fact]
    public void Two_replies_in_one_segment_are_split_by_their_lengths()
    {
        byte[] both = Of("tcp").Single(f => f.Name == "tcp_two_replies_one_segment").Response;
        Mbap first = Mbap.Parse(both), second = Mbap.Parse(both.AsSpan(first.Length));
        Assert.Equal((7, 8), ((int)first.Transaction, (int)second.Transaction));
        Assert.Equal(both.Length, first.Length + second.Length);
    }

    [Fact]
    public void Every_prefix_of_a_frame_waits_for_more()
    {
        (from unit in Gen.Byte
         from body in Gen.Byte.Array[1, ModbusRequest.MaxPduLength]
         select Adu(0x1234, unit, body)).Sample(adu =>
        {
            for (int length = 0; length < adu.Length; length++)
                if (Mbap.Parse(adu.AsSpan(0, length)).Status != MbapStatus.NeedMore) return false;
            return Mbap.Parse(adu) == new Mbap(MbapStatus.Whole, 0x1234, adu[6], adu.Length);
        });
    }

    [Fact]
    public void A_flipped_bit_in_the_header_never_yields_the_same_frame()
    {
        byte[] adu = Adu(0x0001, 17, [3, 4, 0, 1, 0, 2]);
        for (int bit = 0; bit < 8 * Mbap.HeaderLength; bit++)
        {
            byte[] flipped = [.. adu];
            flipped[bit / 8] ^= (byte)(1 << (bit % 8));
            Assert.NotEqual(Mbap.Parse(adu), Mbap.Parse(flipped));
        }
    }

    [Fact]
    public void Any_bytes_are_judged_without_an_exception() => Gen.Byte.Array[0, 600].Sample(bytes =>
    {
        Mbap found = Mbap.Parse(bytes);
        if (found.Status == MbapStatus.Whole)
        {
            Assert.InRange(found.Length, 8, Math.Min(bytes.Length, Mbap.MaxLength));
            PduReply.Parse(bytes.AsSpan(Mbap.HeaderLength, found.Length - Mbap.HeaderLength), ModbusRequest.Read(ModbusTable.Holding, 0, 2));
        }
    });

    private static Mbap FirstOf(Frame frame) => Mbap.Parse(frame.Request);

    private static byte[] Adu(int transaction, byte unit, byte[] pdu) =>
        [(byte)(transaction >> 8), (byte)(transaction & 0xFF), 0, 0, 0, (byte)(pdu.Length + 1), unit, .. pdu];
}
