using ThermoWatch.Domain.Thermocouples;
using ThermoWatch.Simulator.Faults;
using ThermoWatch.Simulator.Scenarios;
using ThermoWatch.Simulator.Tests.Runs;

namespace ThermoWatch.Simulator.Tests.Machines;

/// <summary>Two carriers in process, one vapour zone and one vacuum chamber.</summary>
public class TwoCarrierTests
{
    private static readonly Scenario Pair = ScenarioLibrary.Find("two-carriers")!;

    [Fact]
    public void Carrier_that_comes_while_the_stations_are_taken_goes_on_soaking_until_they_are_free()
    {
        var samples = Playback.Runs(new SimulatorOptions { NoiseFree = true }, Pair with
        {
            Runs = [new RunStretch(1) { Faults = [new PlannedFault(FaultKind.ProgrammeStopped, 205, 160)] }],
        }, 1);
        Assert.DoesNotContain(samples, s => AtStations(s.Truth.Phase) && AtStations(s.Truth.Second!.Phase));

        var waiting = samples.Where(s => s.Truth.Second is { Phase: MachinePhase.Soak } b && b.RunTime.TotalSeconds > 165).ToList();
        Assert.InRange(waiting.Count * 0.1, 20, 120);
        Assert.All(waiting, s => Assert.True(AtStations(s.Truth.Phase) || s.Frame.Machine.First.Contacts.HasFlag(MachineContacts.VentValveOpen)));
        Assert.All(waiting, s => Assert.InRange(s.Truth.ProductCelsius[4], 160, 172));

        // It comes in with the very step in which the other leaves, and only then does vapour heat it.
        CellTruth entered = samples.First(s => s.Truth.Second!.Phase == MachinePhase.Vapour).Truth;
        Assert.Equal(MachinePhase.Cooling, entered.Phase);
        Assert.InRange(entered.ProductCelsius[4], 160, 172);
    }

    [Fact]
    public void Vacuum_over_one_carrier_leaves_the_other_in_the_air_of_the_soak_zone()
    {
        var samples = Playback.Runs(new SimulatorOptions { NoiseFree = true }, Pair, 3);
        var held = samples.Where(s => s.Truth.Phase == MachinePhase.Hold && s.Truth.Second!.Phase == MachinePhase.Soak && s.Truth.Second.RunTime.TotalSeconds is > 5 and < 70).ToList();
        Assert.True(held.Count > 50, $"{held.Count}");
        Assert.All(held, s => Assert.True(s.Frame.PressureMbar < 6));

        // In thin gas nothing would heat them: they go on at the ramp.
        double rise = held[^1].Truth.ProductCelsius[4] - held[0].Truth.ProductCelsius[4];
        double took = (held[^1].Truth.Second!.RunTime - held[0].Truth.Second!.RunTime).TotalSeconds;
        Assert.InRange(rise / took, 1.2, 2.2);
    }

    [Fact]
    public void Vapour_dips_once_for_each_carrier_that_enters()
    {
        var samples = Playback.Runs(new SimulatorOptions { NoiseFree = true }, Pair, 5);
        double level = samples.Max(s => s.Truth.VapourCelsius);
        double Dip(Func<CellTruth, bool> inside) => level - samples.Where(s => inside(s.Truth)).Min(s => s.Truth.VapourCelsius);
        Assert.InRange(Dip(t => t.Phase == MachinePhase.Vapour), 3, 20);
        Assert.InRange(Dip(t => t.Second!.Phase == MachinePhase.Vapour), 3, 20);
        Assert.InRange(Dip(t => !AtStations(t.Phase) && !AtStations(t.Second!.Phase)), 0, 2.5);
    }

    [Fact]
    public void Each_carrier_has_a_process_sensor_of_its_own()
    {
        var samples = Playback.Runs(new SimulatorOptions { NoiseFree = true }, Pair, 3);
        foreach ((CellTruth truth, InstrumentFrame frame) in samples)
        {
            double emf = TypeK.MillivoltsAt(truth.Second!.TransportCelsius) - TypeK.MillivoltsAt(truth.ColdJunctionCelsius);
            Assert.Equal((float)emf, frame.Machine.SecondTransportMillivolts);
        }

        // Each is hottest while its own carrier is in the vapour and the other's is not.
        CellTruth a = samples.Where(s => s.Truth.RunNumber == 3).MaxBy(s => s.Truth.TransportCelsius).Truth;
        CellTruth b = samples.Where(s => s.Truth.Second!.RunNumber == 2).MaxBy(s => s.Truth.Second!.TransportCelsius).Truth;
        Assert.True(AtStations(a.Phase) && a.TransportCelsius > a.Second!.TransportCelsius + 40);
        Assert.True(AtStations(b.Second!.Phase) && b.Second.TransportCelsius > b.TransportCelsius + 40);
    }

    [Fact]
    public void One_carrier_leaves_the_registers_of_the_second_empty()
    {
        MachineFrame machine = new SimulatedCell(new SimulatorOptions()).Instruments.Machine;
        Assert.True(float.IsNaN(machine.SecondTransportMillivolts));
        Assert.Null(machine.Second);
    }

    private static bool AtStations(MachinePhase phase) => phase is MachinePhase.Vapour or MachinePhase.Evacuation or MachinePhase.Hold or MachinePhase.Vent;
}
