namespace ThermoWatch.Service.Hosting;

/// <summary>What the service says in its log: each thing once, when it changes.</summary>
internal static partial class Log
{
    [LoggerMessage(EventId = 1, Level = LogLevel.Warning, Message = "Cell {Cell}: the record was damaged. {Loss}")]
    public static partial void RecordDamaged(ILogger log, int cell, string loss);

    [LoggerMessage(EventId = 2, Level = LogLevel.Warning, Message = "Cell {Cell}: {Device} is {State}. {Reason}")]
    public static partial void DeviceTrouble(ILogger log, int cell, string device, string state, string reason);

    [LoggerMessage(EventId = 3, Level = LogLevel.Information, Message = "Cell {Cell}: {Device} answers.")]
    public static partial void DeviceAnswers(ILogger log, int cell, string device);

    [LoggerMessage(EventId = 4, Level = LogLevel.Error, Message = "Cell {Cell}: a run or alarm could not be written to the catalogue: {Fault} It stays in the journal and is found again at the next start.")]
    public static partial void CatalogueFault(ILogger log, int cell, string fault);

    [LoggerMessage(EventId = 5, Level = LogLevel.Error, Message = "Cell {Cell}: recording stands at {State}. {Reason}")]
    public static partial void RecordingTrouble(ILogger log, int cell, string state, string reason);

    [LoggerMessage(EventId = 6, Level = LogLevel.Warning, Message = "Room for the record runs out: {Megabytes} MB are free, enough for {Days}. Make room, or set recording.keepIdleDays.")]
    public static partial void RoomLow(ILogger log, long megabytes, string days);

    [LoggerMessage(EventId = 7, Level = LogLevel.Information, Message = "Time between runs left the record by rule: {Bytes} bytes.")]
    public static partial void IdleRemoved(ILogger log, long bytes);

    [LoggerMessage(EventId = 8, Level = LogLevel.Error, Message = "Time between runs could not leave the record: {Fault}")]
    public static partial void KeepingFault(ILogger log, string fault);

    [LoggerMessage(EventId = 9, Level = LogLevel.Information, Message = "Cell {Cell}: the whole record is read again, which takes a while. {Reason}")]
    public static partial void SnapshotOfAnotherVersion(ILogger log, int cell, string reason);

    [LoggerMessage(EventId = 10, Level = LogLevel.Warning, Message = "Cell {Cell}: recording goes on. {Lost} entries could not be recorded; the journal marks where.")]
    public static partial void RecordingAgain(ILogger log, int cell, long lost);

    [LoggerMessage(EventId = 11, Level = LogLevel.Warning, Message = "Cell {Cell}: the computer's clock was set by {Seconds:0.000} s. Times in the record go on by the clock as it was. Restart the service between two runs to take the new time over.")]
    public static partial void ClockStepped(ILogger log, int cell, double seconds);

    [LoggerMessage(EventId = 12, Level = LogLevel.Error, Message = "The audit trail cannot be written: {Fault}")]
    public static partial void TrailFault(ILogger log, string fault);

    [LoggerMessage(EventId = 13, Level = LogLevel.Error, Message = "{Refusal} Runs are judged by it all the same, and each keeps the spec that judged it; only the list of versions does not have it.")]
    public static partial void SpecRefused(ILogger log, string refusal);

    [LoggerMessage(EventId = 14, Level = LogLevel.Error, Message = "Chain heads cannot be signed. {Problem}")]
    public static partial void NoKey(ILogger log, string problem);

    [LoggerMessage(EventId = 15, Level = LogLevel.Error, Message = "{Loss}")]
    public static partial void CatalogueDamaged(ILogger log, string loss);

    [LoggerMessage(EventId = 16, Level = LogLevel.Warning, Message = "{Words}")]
    public static partial void FeedSays(ILogger log, string words);

    [LoggerMessage(EventId = 17, Level = LogLevel.Warning, Message = "{Fault} Runs are judged by it as before.")]
    public static partial void SpecOutOfReach(ILogger log, string fault);

    [LoggerMessage(EventId = 19, Level = LogLevel.Warning, Message = "Configuration: {Place} {Problem}. {Remedy}")]
    public static partial void ConfigurationNote(ILogger log, string place, string problem, string remedy);

    [LoggerMessage(EventId = 18, Level = LogLevel.Error, Message = "Cell {Cell}: a viewer could not be told what is new, and its connection was ended; it connects anew.")]
    public static partial void ViewerFault(ILogger log, int cell, Exception fault);
}
