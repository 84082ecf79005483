namespace ThermoWatch.Service.Commands;

/// <summary>What the program ends with; programs rely on it.</summary>
internal static class ExitCodes
{
    /// <summary>Done, or all pass.</summary>
    public const int Done = 0;

    /// <summary>Judged, and something failed.</summary>
    public const int Failed = 1;

    /// <summary>Wrong input or usage.</summary>
    public const int BadInput = 2;

    /// <summary>Could not reach what it needs.</summary>
    public const int Unreachable = 3;

    /// <summary>Nothing failed, but something is undetermined.</summary>
    public const int Undetermined = 4;
}
