namespace ThermoWatch.Simulator;

/// <summary>What really is, before any instrument: the reference that readings and forecasts are checked against.</summary>
/// <param name="ProductCelsius">Temperatures of the eight places on the boards, degC, in channel order.</param>
/// <param name="VapourCelsius">Temperature of the vapour zone, degC.</param>
/// <param name="TransportCelsius">Temperature of the machine's own process sensor on the carrier (with two: on A), degC.</param>
/// <param name="ColdJunctionCelsius">Temperature of the instrument's terminals, degC.</param>
/// <param name="ChamberMbar">Absolute pressure in the chamber, mbar.</param>
/// <param name="Phase">What the programme is doing.</param>
/// <param name="RunNumber">The run whose boards are in the machine; the first is 1.</param>
/// <param name="RunTime">Since the heating of this run began; negative while its boards still wait.</param>
public sealed record CellTruth(
    IReadOnlyList<double> ProductCelsius,
    double VapourCelsius,
    double TransportCelsius,
    double ColdJunctionCelsius,
    double ChamberMbar,
    MachinePhase Phase,
    int RunNumber,
    TimeSpan RunTime)
{
    /// <summary>Pressure in the room, mbar.</summary>
    public double AmbientMbar { get; init; }

    /// <summary>The second carrier, where two are in process; phase, run and time above are then those of the first.</summary>
    public CarrierTruth? Second { get; init; }
}

/// <summary>Where another carrier of the same cell is.</summary>
/// <param name="Phase">What the programme is doing with it.</param>
/// <param name="RunNumber">Its run.</param>
/// <param name="RunTime">Since its heating began; negative while its boards still wait.</param>
/// <param name="TransportCelsius">Temperature of the machine's own process sensor on it, degC.</param>
public sealed record CarrierTruth(MachinePhase Phase, int RunNumber, TimeSpan RunTime, double TransportCelsius);
