namespace ThermoWatch.Tests;

/// <summary>The checkout that these tests were built from.</summary>
internal static class Repository
{
    public static string Root { get; } = Find();

    private static string Find()
    {
        DirectoryInfo? folder = new(AppContext.BaseDirectory);
        while (folder is not null && !File.Exists(Path.Combine(folder.FullName, "ThermoWatch.sln")))
        {
            folder = folder.Parent;
        }

        return folder?.FullName ?? throw new DirectoryNotFoundException("ThermoWatch.sln is not above the test's folder.");
    }
}
