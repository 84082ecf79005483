using System.Globalization;
using System.Text;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Specs;
using ThermoWatch.Domain.Tests.Engine;

namespace ThermoWatch.Domain.Tests.Figures;

/// <summary>
/// Uncertainties of rates and of pressure times, held against what a wrong sensor really does to them: every reading is moved by the
/// standard uncertainty to both sides, and the figure must move by what it claims (GUM 5.1.3, note 2: the partial derivative by trial).
/// </summary>
public class PropagationTests
{
    private const double Period = 0.1;

    // Below 375 °C the tolerance of class 1 is 1.5 K whatever the temperature, so one shift stands for it at every level.
    private static readonly MeasurementChain s_chain = new(1, null, 0, 0, 0, null);

    // No corner lies within the 2.5 s around a crossing over which its slope is taken.
    private static readonly (double, double)[] s_board =
        [(0, 10), (60, 130), (95, 165), (185, 175), (232.5, 203.5), (316.25, 237), (340, 241), (350, 241), (370, 225), (425, 85)];

    private static RunPicture Judge(MeasurementChain chain, double kelvin, Func<double, double> gauge)
    {
        var text = new StringBuilder("time_s,tc1 [degC],p [mbar]\n");
        for (int i = 0; i <= 4250; i++)
        {
            double t = i * Period;
            text.Append(CultureInfo.InvariantCulture, $"{t},{Bench.At(t, s_board) + kelvin},{gauge(Bench.Chamber(t + 60))}\n");
        }

        return RecordedRun.Judge(CurveFile.Parse(Encoding.UTF8.GetBytes(text.ToString())).File!, Bench.Sac305() with { Measurement = chain }, null).Run;
    }

    private static FigureResult Of(RunPicture run, string figure) => run.Figures.Single(f => f.Figure == figure);

    [Theory]
    [InlineData("preheatRate")]
    [InlineData("heatingRate")]
    [InlineData("slopeAtLiquidus")]
    [InlineData("coolingRate")]
    [InlineData("soakTime")]
    [InlineData("timeToPeak")]
    [InlineData("timeAboveLiquidus")]
    public void Figure_moves_with_its_sensor_by_what_it_claims(string figure)
    {
        double kelvin = 1.5 / Math.Sqrt(3);
        FigureResult plain = Of(Judge(s_chain, 0, p => p), figure);
        double moved = Math.Abs(Of(Judge(s_chain, kelvin, p => p), figure).Value!.Value - Of(Judge(s_chain, -kelvin, p => p), figure).Value!.Value) / 2;

        // The time of a reading is known to half a period, at both ends of a duration; a rate takes it in proportion.
        double seconds = Period / 2 / Math.Sqrt(3) * Math.Sqrt(2);
        double sampling = figure.EndsWith("Rate", StringComparison.Ordinal) || figure == "slopeAtLiquidus"
            ? seconds * plain.Value!.Value * plain.Value!.Value / Span(figure) : seconds;

        Assert.Equal(2 * Math.Sqrt((moved * moved) + (sampling * sampling)), plain.U!.Value, 0.03 * plain.U!.Value);
        Assert.DoesNotContain("noUncertainty", plain.Notes);
    }

    /// <summary>Difference of the levels that a rate lies between, K.</summary>
    private static double Span(string figure) => figure switch { "preheatRate" => 110, "heatingRate" => 17, "slopeAtLiquidus" => 20, _ => 50 };

    [Theory]
    [InlineData("pumpDownTime", 2, 0)]
    [InlineData("pumpDownTime", 0, 0.1)]
    [InlineData("ventTime", 2, 0)]
    [InlineData("ventTime", 0, 0.1)]
    [InlineData("vacuumHold", 2, 0)]
    [InlineData("vacuumHold", 0, 0.1)]
    [InlineData("lowestPressure", 2, 0)]
    [InlineData("lowestPressure", 0, 0.1)]
    [InlineData("voidExpansion", 1, 0)]
    [InlineData("voidExpansion", 0, 0.1)]
    public void Vacuum_figure_moves_with_its_gauge_by_what_it_claims(string figure, double millibar, double share)
    {
        MeasurementChain chain = s_chain with { GaugeMillibar = millibar, GaugeShare = share };
        double part(double p) => (millibar + (share * p)) / Math.Sqrt(3);
        FigureResult plain = Of(Judge(chain, 0, p => p), figure);
        double moved = Math.Abs(Of(Judge(chain, 0, p => p + part(p)), figure).Value!.Value - Of(Judge(chain, 0, p => p - part(p)), figure).Value!.Value) / 2;
        double sampling = plain.Unit == "s" ? Period / 2 / Math.Sqrt(3) * Math.Sqrt(2) : 0;

        Assert.Equal(2 * Math.Sqrt((moved * moved) + (sampling * sampling)), plain.U!.Value, (0.1 * plain.U!.Value) + 1e-9);
    }

    [Theory]
    [InlineData("pumpDownTime")]
    [InlineData("lowestPressure")]
    public void Vacuum_figure_says_so_when_nothing_is_known_of_the_gauge(string figure)
    {
        FigureResult plain = Of(Judge(s_chain, 0, p => p), figure);
        Assert.Null(plain.U);
        Assert.Contains("noUncertainty", plain.Notes);
    }
}
