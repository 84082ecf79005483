using System.Diagnostics;
using ThermoWatch.Tests;

namespace ThermoWatch.EndToEnd.Tests.Support;

/// <summary>The program as it is delivered: published once, by the test runner or by the first test that needs it.</summary>
internal static class Published
{
    private static readonly Lazy<string> Folder = new(FindOrPublish);

    public static string Assembly => Path.Combine(Folder.Value, "thermowatch.dll");

    public static string DemoFile(string name) => Path.Combine(Repository.Root, "src", "ThermoWatch.Service", "Demo", name);

    private static string FindOrPublish()
    {
        if (Environment.GetEnvironmentVariable("THERMOWATCH_PUBLISHED") is { Length: > 0 } given)
        {
            return given;
        }

        string folder = Path.Combine(Repository.Root, "artifacts", "service");
        using var publish = Process.Start("dotnet", ["publish", Path.Combine(Repository.Root, "src", "ThermoWatch.Service"), "-c", "Release", "-o", folder, "-v", "q"]);
        publish.WaitForExit();
        return publish.ExitCode == 0 ? folder : throw new InvalidOperationException("The service cannot be published.");
    }
}
