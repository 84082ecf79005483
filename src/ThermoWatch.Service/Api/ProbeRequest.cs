using System.Text.Json;
using ThermoWatch.Acquisition;
using ThermoWatch.Acquisition.Replay;
using ThermoWatch.Service.Configuration;

namespace ThermoWatch.Service.Api;

/// <summary>Which device to probe: one of the configuration, or one that may come into it.</summary>
/// <param name="Cell">Number of the cell; null for a candidate.</param>
/// <param name="DeviceId">Id of a device of that cell; null for a candidate.</param>
/// <param name="Candidate">A device as the configuration describes it; null for a configured one.</param>
/// <param name="Answers">How many answers to time.</param>
internal sealed record ProbeRequest(int? Cell, string? DeviceId, DeviceOptions? Candidate, int Answers)
{
    private const int UsualAnswers = 50, MostAnswers = 10_000;

    /// <summary>Reads <c>{"cell": 1, "device": "amplifier"}</c> or <c>{"candidate": {...}}</c>, each with <c>answers</c> if wanted.</summary>
    /// <param name="body">The request's JSON.</param>
    /// <param name="faults">All that is wrong with it.</param>
    /// <returns>The wish; null if there are faults.</returns>
    public static ProbeRequest? Read(JsonElement body, List<ConfigurationFault> faults)
    {
        var scope = new JsonScope(body, "", faults);
        int answers = scope.Whole("answers", 1, MostAnswers, UsualAnswers);
        ProbeRequest wish;
        if (scope.Object("candidate") is { } described)
        {
            if (scope.Has("cell") || scope.Has("device"))
            {
                scope.Fault("candidate", "stands beside cell or device", "Give either cell and device of the configuration, or a candidate.");
            }

            DeviceOptions? candidate = DeviceReader.Read(described);
            if (candidate is ReplayDeviceOptions)
            {
                described.Fault("driver", "is replay, which reads a file of this computer", "Probe something on a wire; a recording is tried by putting it into the configuration.");
            }

            wish = new(null, null, candidate, answers);
        }
        else
        {
            int cell = scope.Whole("cell", 1, 99, null);
            wish = new(cell, scope.Text("device", "Name a device of that cell, or describe one as candidate."), null, answers);
        }

        scope.NothingElse();
        return faults.Count == 0 ? wish : null;
    }
}
