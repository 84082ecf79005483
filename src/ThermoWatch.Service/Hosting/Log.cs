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

    [LoggerMessage(EventId = 6, Level = LogLevel.Error, Message = "{Loss}")]
    public static partial void CatalogueDamaged(ILogger log, string loss);

    [LoggerMessage(EventId = 7, Level = LogLevel.Warning, Message = "Cell {Cell}: the newest snapshot cannot be used, so the whole record is lived through again. {Reason}")]
    public static partial void SnapshotUnreadable(ILogger log, int cell, string reason);
}
