using System.Reflection;

namespace ThermoWatch.Service.Commands;

/// <summary>Name and version of the program, as they stand in what it writes.</summary>
internal static class SoftwareName
{
    public static string Text { get; } = "thermowatch "
        + (typeof(SoftwareName).Assembly.GetCustomAttribute<AssemblyInformationalVersionAttribute>()?.InformationalVersion ?? "0").Split('+')[0];
}
