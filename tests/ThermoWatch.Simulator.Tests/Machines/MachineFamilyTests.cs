using ThermoWatch.Simulator.Fleet;
using ThermoWatch.Simulator.Machines;
using ThermoWatch.Simulator.Scenarios;

namespace ThermoWatch.Simulator.Tests.Machines;

/// <summary>What tells the three families of machines apart, by what is true in the same run.</summary>
public class MachineFamilyTests
{
    private const double Boiling = 230;

    [Theory]
    [InlineData(MachineFamily.TankWithLift)]
    [InlineData(MachineFamily.InLine)]
    public void Vapour_stands_before_the_boards_come_and_while_they_are_in_vacuum(MachineFamily family)
    {
        FleetRun run = Play(family);
        Assert.InRange(Last(run, MachinePhase.Soak).VapourCelsius, Boiling - 2, Boiling + 2);
        Assert.InRange(Last(run, MachinePhase.Hold).VapourCelsius, Boiling - 2, Boiling + 2);
    }

    [Fact]
    public void Dosed_fluid_is_evaporated_for_the_run_and_its_vapour_is_gone_in_vacuum()
    {
        FleetRun run = Play(MachineFamily.ClosedChamber);
        Assert.True(Last(run, MachinePhase.Soak).VapourCelsius < Boiling - 30, "no vapour in the soak");
        Assert.InRange(Last(run, MachinePhase.Vapour).VapourCelsius, Boiling - 2, Boiling + 2);
        Assert.True(Last(run, MachinePhase.Hold).VapourCelsius < Last(run, MachinePhase.Vapour).VapourCelsius - 5, "it collapses");
    }

    [Theory]
    [InlineData(MachineFamily.TankWithLift)]
    [InlineData(MachineFamily.InLine)]
    public void Boards_that_sink_into_standing_vapour_are_heated_at_half_of_what_standing_in_it_would_give(MachineFamily family)
    {
        FleetRow[] vapour = [.. Play(family).Rows.Where(r => r.Truth.Phase == MachinePhase.Vapour)];
        double steepest = vapour.Zip(vapour.Skip(10), (a, b) => (b.Truth.ProductCelsius[0] - a.Truth.ProductCelsius[0]) / (b.Seconds - a.Seconds)).Max();

        // A light edge follows vapour with a time constant of 6.6 s: (Tv - T0) / tau is where a step would begin.
        double step = (Boiling - vapour[0].Truth.ProductCelsius[0]) / 6.6;
        Assert.InRange(steepest, 0.1 * step, 0.5 * step);
    }

    [Fact]
    public void Heated_walls_of_a_vacuum_station_keep_the_boards_warmer_under_vacuum_than_those_above_a_tank()
    {
        double Fall(MachineFamily family)
        {
            FleetRow[] hold = [.. Play(family).Rows.Where(r => r.Truth.Phase == MachinePhase.Hold)];
            return (hold[0].Truth.ProductCelsius.Average() - hold[^1].Truth.ProductCelsius.Average()) / (hold[^1].Seconds - hold[0].Seconds);
        }

        double line = Fall(MachineFamily.InLine), tank = Fall(MachineFamily.TankWithLift);
        Assert.True(tank > 0 && line < 0.5 * tank, $"in line {line} K/s, above a tank {tank} K/s");
    }

    private static CellTruth Last(FleetRun run, MachinePhase phase) => run.Rows.Last(r => r.Truth.Phase == phase).Truth;

    private static FleetRun Play(MachineFamily family) => FleetRun.Play(
        new FleetMember(1, 6, new Scenario { Name = "family", Family = family }), TimeSpan.FromMilliseconds(200));
}
