using ThermoWatch.Service.Commands;

namespace ThermoWatch.Service.Demo;

/// <summary>Data folders of demos: each demo gets a new one, kept until somebody cleans up.</summary>
internal static class DemoFolders
{
    private const string Prefix = "thermowatch-demo-";

    public static string New() => Directory.CreateTempSubdirectory(Prefix).FullName;

    public static int Clean()
    {
        int code = ExitCodes.Done;
        foreach (string folder in Directory.EnumerateDirectories(Path.GetTempPath(), Prefix + "*"))
        {
            try
            {
                Directory.Delete(folder, recursive: true);
                Console.WriteLine($"Deleted {folder}");
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                Console.Error.WriteLine($"thermowatch: {folder} cannot be deleted: {e.Message} End the demo that uses it first.");
                code = ExitCodes.Unreachable;
            }
        }

        return code;
    }
}
