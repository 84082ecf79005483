using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Tests.Engine;

namespace ThermoWatch.Domain.Tests.Specs;

public class SpecChoiceTests
{
    private static readonly Spec s_inverter = Bench.Sac305() with { Name = "Inverter lead-free", Product = "Inverter", Recipe = 12, Codes = ["INV-"] };
    private static readonly Spec s_gate = Bench.Sac305() with { Name = "Gate driver", Recipe = 14, Codes = ["INV-G", "GD"] };

    [Fact]
    public void Recipe_code_and_product_find_their_spec()
    {
        var choice = new SpecChoice([s_inverter, s_gate]);
        Assert.Same(s_inverter, choice.ByRecipe(12));
        Assert.Null(choice.ByRecipe(13));
        Assert.Same(s_inverter, choice.ByCode("INV-0042"));
        Assert.Same(s_gate, choice.ByCode("INV-G7")); // the longest beginning tells
        Assert.Null(choice.ByCode("X1"));
        Assert.Same(s_inverter, choice.ByProduct("Inverter"));
        Assert.Same(s_gate, choice.ByProduct("Gate driver")); // by the spec's own name where it names no product
        Assert.Equal(["Inverter", "Gate driver"], choice.Products);
    }

    [Fact]
    public void The_newest_version_counts_and_what_two_specs_claim_nobody_can_tell()
    {
        Spec newer = s_inverter with { Version = 2 };
        Assert.Same(newer, new SpecChoice([s_inverter, newer]).ByRecipe(12));
        Assert.Null(new SpecChoice([s_inverter, s_gate with { Recipe = 12 }]).ByRecipe(12));
    }
}
