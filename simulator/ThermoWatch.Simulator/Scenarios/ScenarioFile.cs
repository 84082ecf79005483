using System.Text.Json;
using System.Text.Json.Serialization;
using ThermoWatch.Simulator.Faults;
using ThermoWatch.Simulator.Machines;

namespace ThermoWatch.Simulator.Scenarios;

/// <summary>A scenario as JSON. A name that is not known is an error, so that a misspelt fault does not silently stay away.</summary>
public static class ScenarioFile
{
    private static readonly JsonSerializerOptions Options = new(JsonSerializerDefaults.Web)
    {
        UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow,
        RespectNullableAnnotations = true,
        RespectRequiredConstructorParameters = true,
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.CamelCase, allowIntegerValues: false) },
    };

    /// <summary>Reads a scenario; with problems there is none.</summary>
    public static (Scenario? Scenario, IReadOnlyList<string> Problems) Parse(string json)
    {
        Scenario? scenario;
        try
        {
            scenario = JsonSerializer.Deserialize<Scenario>(json, Options);
        }
        catch (JsonException e)
        {
            return (null, [$"Line {e.LineNumber + 1}: {e.Message}"]);
        }

        if (scenario is null)
        {
            return (null, ["The file holds no scenario."]);
        }

        List<string> problems = [.. Problems(scenario)];
        return (problems.Count == 0 ? scenario : null, problems);
    }

    private static IEnumerable<string> Problems(Scenario scenario)
    {
        if (!IsLoad(scenario.Boards))
        {
            yield return $"boards is {scenario.Boards}; a carrier holds 1, 2 or 4.";
        }

        if (scenario.FaultShare is not (>= 0 and <= 1))
        {
            yield return $"faultShare is {scenario.FaultShare}; a share is 0 to 1.";
        }

        if (scenario.Carriers is not (1 or 2) || (scenario.Carriers == 2 && scenario.Family != MachineFamily.InLine))
        {
            yield return $"carriers is {scenario.Carriers} in family {scenario.Family}; use 1, or 2 with the family inLine.";
        }

        foreach (RunStretch stretch in scenario.Runs)
        {
            if (stretch.From < 1 || (stretch.To is > 0 && stretch.To < stretch.From))
            {
                yield return $"runs from {stretch.From} to {stretch.To}: the first run is 1, and the last may not lie before the first.";
            }

            if (stretch.Boards is { } boards && !IsLoad(boards))
            {
                yield return $"boards is {boards} from run {stretch.From}; a carrier holds 1, 2 or 4.";
            }

            foreach (PlannedFault fault in stretch.Faults.Where(f => !f.Kind.Takes(f.Channel)))
            {
                yield return $"In the runs from {stretch.From}: {SimulatedCell.ChannelAdvice(fault.Kind)}";
            }
        }
    }

    private static bool IsLoad(int boards) => boards is 1 or 2 or 4;
}
