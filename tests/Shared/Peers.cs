namespace ThermoWatch.Tests;

/// <summary>
/// Programs we did not write, against which ours are checked. Where one is missing the test is skipped and says so;
/// where THERMOWATCH_REQUIRE_PEERS is 1 (the build server) a missing one is a failure.
/// </summary>
internal static class Peers
{
    private static bool Required => Environment.GetEnvironmentVariable("THERMOWATCH_REQUIRE_PEERS") == "1";

    /// <summary>Path of a program, or the test ends here.</summary>
    public static string Program(string name, string package)
    {
        string[] folders = (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator);
        string? path = folders.Append("/usr/bin").Append("/usr/sbin").Select(f => Path.Combine(f, name)).FirstOrDefault(File.Exists);
        Need(path is not null, $"{name} is not installed (Debian package {package})");
        return path!;
    }

    /// <summary>Ends the test, as skipped or failed, unless something is there.</summary>
    public static void Need(bool present, string missing)
    {
        if (present)
        {
            return;
        }

        Assert.SkipUnless(Required, missing);
        Assert.Fail(missing);
    }
}
