using ThermoWatch.Recording.Tests.Journal;
using Xunit.MicrosoftTestingPlatform;
using Xunit.Runner.InProc.SystemConsole;

namespace ThermoWatch.Recording.Tests;

/// <summary>The tests; or, with an argument, the writer that a test kills.</summary>
internal static class EntryPoint
{
    public static async Task<int> Main(string[] args) => args switch
    {
        [KilledWriter.Argument, string folder, string seed] => KilledWriter.Run(folder, int.Parse(seed)),
        [SyncedWriter.Argument, string data, string seed] => SyncedWriter.Run(data, int.Parse(seed)),
        _ when args.Any(arg => arg is "--server" or "--internal-msbuild-node") =>
            await TestPlatformTestFramework.RunAsync(args, SelfRegisteredExtensions.AddSelfRegisteredExtensions),
        _ => await ConsoleRunner.Run(args),
    };
}
