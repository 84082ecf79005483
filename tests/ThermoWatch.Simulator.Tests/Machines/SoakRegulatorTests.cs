using ThermoWatch.Simulator.Machines;

namespace ThermoWatch.Simulator.Tests.Machines;

public class SoakRegulatorTests
{
    private const double Set = 164, Start = 24, Ramp = 1.66, Step = 0.05;

    [Fact]
    public void Boards_pass_the_set_point_by_some_kelvin_and_come_back_to_it_in_the_end()
    {
        List<Moment> run = Chase(airSeconds: 30, loss: 0, seconds: 1500);
        Assert.InRange(run.Max(m => m.Board) - Set, 2, 9);
        Assert.Equal(Set, run[^1].Board, 0.3);
    }

    [Fact]
    public void Integral_removes_the_error_that_a_steady_loss_would_leave()
    {
        // A loss of 0.5 K/s with 30 s to the air needs air 15 K above the boards: without an integral a gain of 3.2 leaves 15 / 4.2 = 3.6 K.
        List<Moment> run = Chase(airSeconds: 30, loss: 0.5, seconds: 2500);
        Assert.Equal(Set, run[^1].Board, 0.3);
        Assert.Equal(Set + 15, run[^1].Air, 0.6);
    }

    [Fact]
    public void While_the_heater_is_at_its_limit_the_integral_winds_up_and_the_boards_are_driven_past_for_longer()
    {
        List<Moment> light = Chase(airSeconds: 30, loss: 0, seconds: 600), heavy = Chase(airSeconds: 70, loss: 0, seconds: 600);
        Assert.True(light.Max(m => m.Air) < SoakRegulator.HottestAir - 5);
        Assert.True(heavy.Count(m => m.Air > SoakRegulator.HottestAir - 1) * Step > 20, "heavy boards ask for more than the heater has");

        // With no proportional part left, what the air still has above the set-point is the wound-up integral.
        double Excess(List<Moment> run) => run.First(m => m.Board >= Set).Air - Set;
        Assert.True(Excess(heavy) > Excess(light) + 5, $"{Excess(heavy)} {Excess(light)}");
        double Past(List<Moment> run) => run.Count(m => m.Board > Set + 2) * Step;
        Assert.True(Past(heavy) > 1.5 * Past(light), $"{Past(heavy)} {Past(light)}");
    }

    // A board as one mass: dT/dt = (air - T) / airSeconds - loss.
    private static List<Moment> Chase(double airSeconds, double loss, double seconds)
    {
        var regulator = new SoakRegulator();
        regulator.Reset(Start);
        double board = Start;
        List<Moment> moments = [];
        for (double at = 0; at < seconds; at += Step)
        {
            regulator.Step(Math.Min(Set, Start + (Ramp * at)), board, Step);
            board += Step * (((regulator.AirCelsius - board) / airSeconds) - loss);
            moments.Add(new(board, regulator.AirCelsius));
        }

        return moments;
    }

    private sealed record Moment(double Board, double Air);
}
