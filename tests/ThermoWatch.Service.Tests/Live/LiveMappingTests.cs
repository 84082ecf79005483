using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Live;

namespace ThermoWatch.Service.Tests.Live;

public sealed class LiveMappingTests
{
    private static readonly Timestamp s_noon = Timestamp.From(new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero));

    private static FigureResult Figure(double value, double upper = 90) => new()
    {
        Figure = "timeAboveLiquidus",
        ChannelId = "tc1",
        Value = value,
        Unit = "s",
        Upper = upper,
        Margin = upper - value,
        U = 1.5,
        Notes = ["marginal"],
    };

    private static RunRow Good(double value) => new()
    {
        Cell = 1,
        Number = 1,
        Carrier = "A",
        Start = s_noon,
        End = s_noon.AddSeconds(300),
        FirstSequence = 1,
        Figures = [Figure(value), Figure(10 * value, upper: 900)],
    };

    [Fact]
    public void A_figure_travels_with_its_uncertainty_its_margin_and_what_is_usual()
    {
        UsualRun usual = UsualRun.Of([Good(60), Good(70), Good(64)]);
        RunLive run = LiveMapping.ToLive(new RunPicture { Number = 4, Carrier = "A", Kind = RunKind.Verification, Recipe = 14, Start = s_noon, Figures = [Figure(71), Figure(600, upper: 900)] }, usual);

        Assert.Equal((19, 1.5, 64), (run.Figures[0].Margin, run.Figures[0].U, run.Figures[0].Usual));
        Assert.Equal(["marginal"], run.Figures[0].Notes);
        Assert.Equal(640, run.Figures[1].Usual); // the same figure at another level has what is usual for itself
        Assert.Equal(("verification", 14, null), (run.Kind, run.Recipe, run.Load));
    }

    [Fact]
    public void Nothing_is_usual_before_the_first_good_run() => Assert.Null(UsualRun.None.Of(Figure(70)));
}
