using System.Globalization;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Tests.Engine;

namespace ThermoWatch.Domain.Tests.Figures;

/// <summary>Every row of reference/process/profile_examples.csv: constructed, exact rational arithmetic.</summary>
public class ProfileExampleTests
{
    public static TheoryData<string> Rows() => [.. s_table.Select(r => r["id"])];

    private static readonly IReadOnlyList<IReadOnlyDictionary<string, string>> s_table = ReferenceTable.Read("process/profile_examples.csv");

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    [Fact]
    public void All_rows_are_read() => Assert.Equal(53, s_table.Count);

    [Theory]
    [MemberData(nameof(Rows))]
    public void Figure_agrees_with_the_worked_example(string id)
    {
        IReadOnlyDictionary<string, string> row = s_table.Single(r => r["id"] == id);
        Dictionary<string, string> parameters = row["parameters"].Split(';', StringSplitOptions.RemoveEmptyEntries)
            .Select(p => p.Split('=')).ToDictionary(p => p[0], p => p[1]);
        double liquidus = parameters.TryGetValue("liquidus", out string? l) ? Number(l) : 217;
        Spec spec = Bench.Sac305() with
        {
            Alloy = new Alloy("example", Math.Min(liquidus, 217), liquidus),
            Classification = parameters.TryGetValue("classification", out string? tc) ? Number(tc) : null,
            Soak = parameters.TryGetValue("soak.to", out string? to) ? new SoakBand(Number(parameters.GetValueOrDefault("soak.from", "150")), Number(to)) : null,
            Vacuum = parameters.TryGetValue("target_mbar", out string? target) ? new VacuumSpec(Number(target), []) : null,
        };
        bool vacuum = row["samples"].StartsWith("0:1013", StringComparison.Ordinal);
        Example example = Example.Parse(row["samples"], vacuum);
        RunPicture run = example.Judge(spec, parameters.TryGetValue("gap", out string? gap) ? TimeSpan.FromSeconds(Number(gap)) : null);

        if (row["figure"] == "x_spanAboveLiquidus")
        {
            // Not a figure of ours: first rising to last falling crossing, which the phases tell.
            PhaseSpan reflow = run.Phases.Single(p => p.Name == "reflow");
            Assert.Equal(Number(row["expected"]), (reflow.End!.Value - reflow.Start).TotalSeconds, Number(row["tolerance"]));
            return;
        }

        if (row["figure"] == "x_frozenUnderVacuum")
        {
            Assert.Equal(bool.Parse(row["expected"]), FrozenBefore(example, Number(parameters["solidus_c"]), Number(parameters["p_restored_mbar"])));
            return;
        }

        FigureResult figure = run.Figures.First(f => f.Figure == row["figure"]);
        Assert.Equal(row["unit"] == "K.s" ? "K·s" : row["unit"].Length == 0 ? "1" : row["unit"], figure.Unit);
        Compare(row["expected"], Number(row["tolerance"]), figure);
    }

    private static void Compare(string expected, double tolerance, FigureResult figure)
    {
        if (expected.Contains("..", StringComparison.Ordinal))
        {
            string[] bounds = expected.Split("..");
            Assert.Equal((null, FigureReasons.Gap), (figure.Value, figure.Reason));
            Assert.Equal(Number(bounds[0]), figure.Low!.Value, tolerance);
            Assert.Equal(Number(bounds[1]), figure.High!.Value, tolerance);
        }
        else if (expected.EndsWith("lower_bound", StringComparison.Ordinal))
        {
            Assert.Equal((null, null, FigureReasons.Truncated), (figure.Value, figure.High, figure.Reason));
            Assert.Equal(Number(expected.Split(' ')[0]), figure.Low!.Value, tolerance);
        }
        else
        {
            Assert.Equal(Number(expected.Split(' ')[0]), figure.Value!.Value, tolerance);
            Assert.Equal(expected.EndsWith(FigureReasons.NeverReached, StringComparison.Ordinal), figure.Notes.Contains(FigureReasons.NeverReached));
        }
    }

    /// <summary>Whether any product curve falls through its solidus before the pressure is back.</summary>
    private static bool FrozenBefore(Example example, double solidus, double restored)
    {
        static CurveView View((double Seconds, double Value)[] points) => new(
            points.Select(p => (long)(p.Seconds * TimeSpan.TicksPerSecond)).ToArray(), points.Select(p => p.Value).ToArray(), 0, long.MaxValue);
        CurveView pressure = View(example.Curves[0]);
        double back = double.NaN;
        for (int i = 0; i < pressure.Count - 1; i++)
        {
            back = pressure[i] < restored && pressure[i + 1] >= restored ? pressure.TimeAt(i, restored) : back;
        }

        return example.Curves.Skip(1).Any(c => Crossings.LastFalling(View(c), solidus).Seconds < back);
    }
}
