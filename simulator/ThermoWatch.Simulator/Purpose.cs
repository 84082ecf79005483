namespace ThermoWatch.Simulator;

/// <summary>What a random stream is for: each has its own, so that using one more number here changes nothing there.</summary>
internal static class Purpose
{
    public const int SensorErrors = 1;
    public const int Noise = 2;
    public const int Variation = 3;
    public const int Faults = 4;
    public const int Wire = 5;
    public const int MachineNoise = 6;
}
