using System.Globalization;
using System.Text;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Tests.Engine;

namespace ThermoWatch.Domain.Tests.Files;

/// <summary>A gauge that was not there when it mattered proves nothing about the vacuum, neither that it was nor that it was not.</summary>
public class LostGaugeTests
{
    private static readonly Spec s_spec = Bench.Sac305(new Limit { Figure = "pumpDownTime", Upper = 20 }, new Limit { Figure = "vacuumHold", Lower = 5 }) with
    {
        Vacuum = new VacuumSpec(50, [new VacuumStepSpec("void", 50)]),
    };

    /// <summary>The run of the profile examples from its second 60 on, evacuated from 228 to 258 s, with a gauge of one's own making.</summary>
    private static RunPicture Run(Func<double, string> gauge)
    {
        var text = new StringBuilder("time_s,tc1 [degC],p [mbar]\n");
        for (int i = 0; i <= 680; i++)
        {
            double t = i * 0.5;
            text.Append(CultureInfo.InvariantCulture, $"{t},{Bench.Board(t + 60)},{gauge(t)}\n");
        }

        return RecordedRun.Judge(CurveFile.Parse(Encoding.UTF8.GetBytes(text.ToString())).File!, s_spec, null).Run;
    }

    private static string True(double t) => Bench.Chamber(t + 60).ToString(CultureInfo.InvariantCulture);

    [Fact]
    public void Whole_record_passes() => Assert.Equal(Verdict.Pass, Run(True).Verdict);

    [Theory]
    [InlineData("silent from 200 s", FigureReasons.Truncated)]
    [InlineData("below zero from 200 s", FigureReasons.BadQuality)]
    [InlineData("silent from 200 to 280 s", FigureReasons.Gap)]
    [InlineData("never there", FigureReasons.NoChannel)]
    public void Evacuation_that_may_have_been_missed_is_undetermined(string fault, string reason)
    {
        RunPicture run = Run(t => fault switch
        {
            "silent from 200 s" => t < 200 ? True(t) : "",
            "below zero from 200 s" => t < 200 ? True(t) : "-137.5",
            "silent from 200 to 280 s" => t is < 200 or > 280 ? True(t) : "",
            _ => "",
        });
        Assert.Equal(Verdict.Undetermined, run.Verdict);
        Assert.DoesNotContain("unexpectedVacuum", run.Reasons);
        Assert.All(run.Figures.Where(f => f.Figure is "pumpDownTime" or "vacuumHold" or "evacuations"), f => Assert.Equal((null, reason), (f.Value, f.Reason)));
    }

    [Fact]
    public void Gauge_that_saw_no_evacuation_says_that_there_was_none()
    {
        RunPicture run = Run(_ => "1013");
        Assert.Equal(Verdict.Fail, run.Verdict);
        Assert.Contains("unexpectedVacuum", run.Reasons);
        Assert.Equal(0, run.Figures.Single(f => f.Figure == "evacuations").Value);
    }
}
