using ThermoWatch.Simulator.Faults;
using ThermoWatch.Simulator.Machines;

namespace ThermoWatch.Simulator.Scenarios;

/// <summary>Makes the plan of a run from the scenario and the seed; a run's plan does not depend on the runs before it.</summary>
internal sealed class RunPlanner(Scenario scenario, int seed)
{
    private readonly int _seed = unchecked(seed + scenario.Seed);
    private const double RoomSpreadKelvin = 0.4;

    public RunPlan Plan(int run)
    {
        var random = Randomness.For(_seed, run, Purpose.Variation);
        var plan = new RunPlan
        {
            Number = run,
            Recipe = scenario.Recipe,
            AskedRecipe = scenario.AskedRecipe ?? scenario.Recipe.Number,
            Product = scenario.Product,
            Boards = scenario.Boards,
            Instrumented = scenario.Instrumented,
            AmbientMbar = scenario.AmbientMbar + (0.6 * random.Normal()),
            StartCelsius = 24.6 + (RoomSpreadKelvin * random.Between(-1, 1)),
            Variation = Variation.Draw(random),
        };
        List<PlannedFault> faults = [];
        foreach (RunStretch stretch in scenario.Runs.Where(s => s.Holds(run)))
        {
            plan = plan with
            {
                Recipe = stretch.Recipe ?? plan.Recipe,
                AskedRecipe = stretch.AskedRecipe ?? plan.AskedRecipe,
                UnpluggedSeconds = stretch.UnpluggedSeconds ?? plan.UnpluggedSeconds,
                Product = stretch.Product ?? plan.Product,
                Story = stretch.Story ?? plan.Story,
                LoadingSeconds = stretch.LoadingSeconds ?? plan.LoadingSeconds,
                Variation = plan.Variation with { Mass = plan.Variation.Mass * (stretch.Mass ?? 1) },
                Boards = stretch.Boards ?? plan.Boards,
                Instrumented = stretch.Instrumented ?? plan.Instrumented,
                AmbientMbar = stretch.AmbientMbar ?? plan.AmbientMbar,
                StartCelsius = stretch.StartCelsius ?? plan.StartCelsius,
                FluidShift = stretch.FluidShift ?? plan.FluidShift,
            };
            faults.AddRange(stretch.Faults);
        }

        var chance = Randomness.For(_seed, run, Purpose.Faults);
        if (chance.Unit() < scenario.FaultShare)
        {
            faults.AddRange(FaultDraw.Draw(chance, plan.Instrumented));
        }

        return plan with { Faults = [.. faults] };
    }
}
