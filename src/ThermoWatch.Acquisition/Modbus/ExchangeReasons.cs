using ThermoWatch.Acquisition.Links;

namespace ThermoWatch.Acquisition.Modbus;

/// <summary>The outcomes that all clients share, in the same words.</summary>
internal static class ExchangeReasons
{
    public static ModbusExchange Answered(PduReply reply, long sentAt, long endedAt) => new()
    {
        Status = reply.Status == ReplyStatus.Ok ? ExchangeStatus.Ok : ExchangeStatus.Refused,
        ExceptionCode = reply.ExceptionCode,
        Data = reply.Data,
        SentAt = sentAt,
        EndedAt = endedAt,
    };

    public static ModbusExchange NotTried(LinkResult failure, long now) => NotTried(failure, now, now);

    public static ModbusExchange NotTried(LinkResult failure, long sentAt, long endedAt) => new()
    {
        Status = failure.Status == LinkStatus.TimedOut ? ExchangeStatus.TimedOut : ExchangeStatus.Closed,
        Reason = failure.Reason ?? "no answer in time",
        SentAt = sentAt,
        EndedAt = endedAt,
    };

    public static ModbusExchange WritesOff(byte unit, long now) => new()
    {
        Status = ExchangeStatus.WritesOff,
        Reason = $"writing is switched off for unit {unit}: ThermoWatch only reads; if the device must be written, set allowWrites for it in the configuration",
        SentAt = now,
        EndedAt = now,
    };

    public static string WrongUnit(byte asked, byte answered) =>
        $"unit {answered} answered though unit {asked} was asked; check that no two devices share a unit number and that no second master is on the line";

    public static string Of(ReplyStatus status) => status switch
    {
        ReplyStatus.WrongFunction => "the answer belongs to another function; check that no second master is on the line",
        ReplyStatus.WrongLength => "the answer has another length than was asked for; check that no second master is on the line, and the device's manual",
        _ => "the device confirmed another write than ours; check that no second master is on the line",
    };
}
