using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Service.Demo;

/// <summary>Who stood at the machine in the demo's past: saw each alarm a while after it was told. What is told now is for whoever looks.</summary>
internal static class DemoShift
{
    private const string Name = "Ines";
    private const string Said = "Boards kept apart.";
    private const double SeenAfterSeconds = 45;

    /// <summary>The alarms of finished runs that are seen now.</summary>
    /// <param name="picture">How the cell stands.</param>
    /// <param name="now">Time of the newest input.</param>
    /// <param name="runs">Number of the last run that is past.</param>
    public static IEnumerable<EngineInput> Sees(CellPicture picture, Timestamp now, int runs) => picture.Alarms
        .Where(a => a.State is AlarmState.Unacknowledged or AlarmState.ReturnedUnacknowledged
            && (a.Run ?? 0) <= runs && now.SecondsSince(a.Since) > SeenAfterSeconds)
        .Select(a => new AcknowledgeInput(now, a.Id, Name, a.Run is null ? "" : Said));
}
