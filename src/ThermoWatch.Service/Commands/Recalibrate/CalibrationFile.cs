using System.Text.Json;
using ThermoWatch.Acquisition;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Service.Configuration;

namespace ThermoWatch.Service.Commands.Recalibrate;

/// <summary>A file of calibrations to look at history with: channel id, and a calibration as the configuration writes it.</summary>
internal static class CalibrationFile
{
    private static readonly JsonDocumentOptions Lenient = new() { CommentHandling = JsonCommentHandling.Skip, AllowTrailingCommas = true };

    /// <summary>Reads it; null when there are faults.</summary>
    public static IReadOnlyDictionary<string, Calibration>? Read(FileInfo file, out IReadOnlyList<string> faults)
    {
        List<ConfigurationFault> found = [];
        Dictionary<string, Calibration> calibrations = [];
        try
        {
            using JsonDocument json = JsonDocument.Parse(File.ReadAllBytes(file.FullName), Lenient);
            if (json.RootElement.ValueKind != JsonValueKind.Object || !json.RootElement.EnumerateObject().Any())
            {
                found.Add(new ConfigurationFault("(file)", "names no channel", """Write { "tc1": { "points": [[0, 0.1], [200, 201.2]] } }."""));
            }
            else
            {
                foreach (JsonProperty channel in json.RootElement.EnumerateObject())
                {
                    if (CalibrationReader.ReadOne(new JsonScope(channel.Value, channel.Name, found), needsDate: false) is { } calibration)
                    {
                        calibrations[channel.Name] = calibration;
                    }
                }
            }
        }
        catch (JsonException wrong)
        {
            found.Add(new ConfigurationFault($"line {wrong.LineNumber + 1}", "is not JSON", "Look for a missing comma, quote or bracket just before it."));
        }
        catch (Exception wrong) when (wrong is IOException or UnauthorizedAccessException)
        {
            found.Add(new ConfigurationFault("(file)", "cannot be read: " + wrong.Message, "Check the name."));
        }

        faults = [.. found.Select(fault => $"{file.Name}: {fault.Path} {fault.Problem}. {fault.Remedy}")];
        return faults.Count == 0 ? calibrations : null;
    }
}
