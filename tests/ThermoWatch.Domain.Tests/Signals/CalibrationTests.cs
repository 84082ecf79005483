using ThermoWatch.Domain.Signals;
using static ThermoWatch.Domain.Tests.Signals.TestCell;

namespace ThermoWatch.Domain.Tests.Signals;

public class CalibrationTests
{
    [Fact]
    public void One_point_is_an_offset_everywhere()
    {
        Calibration offset = Of(1, 0, (100, 98));
        Assert.Equal(-2, offset.CorrectionAt(-500));
        Assert.Equal(248, offset.Apply(250));
    }

    [Fact]
    public void Two_points_are_a_straight_line_continued_beyond_them()
    {
        Calibration line = Of(1, 0, (0, 1), (100, 103));
        Assert.Equal(1, line.Apply(0));
        Assert.Equal(103, line.Apply(100));
        Assert.Equal(52, line.Apply(50));
        Assert.Equal(205, line.Apply(200));
        Assert.Equal(-50, line.Apply(-50));
    }

    [Fact]
    public void Many_points_are_joined_and_the_ends_are_held()
    {
        Calibration many = Of(1, 0, (0, 1), (100, 103), (200, 198), (300, 301));
        Assert.Equal(-499, many.Apply(-500));
        Assert.Equal(1, many.Apply(0));
        Assert.Equal(52, many.Apply(50));
        Assert.Equal(103, many.Apply(100));
        Assert.Equal(150.5, many.Apply(150));
        Assert.Equal(249.5, many.Apply(250));
        Assert.Equal(301, many.Apply(300));
        Assert.Equal(401, many.Apply(400));
    }

    [Fact]
    public void Points_that_cannot_be_joined_are_refused()
    {
        Assert.Throws<ArgumentException>(() => Of(1, 0));
        Assert.Throws<ArgumentException>(() => Of(1, 0, (0, 0), (0, 1)));
        Assert.Throws<ArgumentException>(() => Of(1, 0, (1, 0), (0, 1)));
        Assert.Throws<ArgumentException>(() => Of(1, 0, (double.NaN, 0)));
        Assert.Throws<ArgumentException>(() => Of(1, 0, (0, double.PositiveInfinity)));
    }

    [Fact]
    public void Reading_takes_the_calibration_that_held_when_it_was_measured()
    {
        var history = new CalibrationHistory([Of(2, 100, (0, -3)), Of(1, 10, (0, 2))]);
        var converter = Converter(history);
        Assert.Equal(200, ConvertOne(converter, 9.9, 200).Value);
        Assert.Equal(202, ConvertOne(converter, 10, 200).Value);
        Assert.Equal(202, ConvertOne(converter, 99.9, 200).Value);
        Assert.Equal(197, ConvertOne(converter, 100, 200).Value);
        Assert.Equal([1, 2], history.Calibrations.Select(calibration => calibration.Version));
    }

    [Fact]
    public void History_can_be_seen_with_another_calibration_beside_the_first()
    {
        RawScan scan = Scan(5, 200.0);
        Calibration asFound = Of(2, 100, (0, -3));
        Reading[] original = new Reading[1];
        Reading[] beside = new Reading[1];
        Converter(new CalibrationHistory([asFound])).Convert(scan, original);
        Converter(CalibrationHistory.Always(asFound)).Convert(scan, beside);
        Assert.Equal(200, original[0].Value);
        Assert.Equal(197, beside[0].Value);
        Assert.Equal(200, scan.Values[0]);
    }

    [Fact]
    public void Versions_must_start_one_after_another()
    {
        Assert.Throws<ArgumentException>(() => new CalibrationHistory([Of(1, 10, (0, 0)), Of(2, 10, (0, 0))]));
        Assert.Throws<ArgumentException>(() => new CalibrationHistory([Of(1, 10, (0, 0)), Of(2, 5, (0, 0))]));
        Assert.Throws<ArgumentException>(() => new CalibrationHistory([Of(1, 10, (0, 0)), Of(1, 20, (0, 0))]));
        Assert.Null(CalibrationHistory.Empty.At(Start));
    }

    [Fact]
    public void Calibration_is_overdue_only_after_its_day()
    {
        Calibration due = Of(1, 0, (0, 0)) with { Due = Start.AddSeconds(60) };
        Assert.False(due.IsOverdue(Start.AddSeconds(60)));
        Assert.True(due.IsOverdue(Start.AddSeconds(60.0000001)));
        Assert.False(Of(1, 0, (0, 0)).IsOverdue(Start.AddSeconds(1e9)));
    }

    [Fact]
    public void Calibrations_with_the_same_certificate_are_equal()
    {
        Assert.Equal(Of(1, 0, (0, 1), (5, 6)), Of(1, 0, (0, 1), (5, 6)));
        Assert.NotEqual(Of(1, 0, (0, 1), (5, 6)), Of(1, 0, (0, 1), (5, 7)));
        Assert.NotEqual(Of(1, 0, (0, 1)), Of(2, 0, (0, 1)));
        Assert.Equal(new CalibrationHistory([Of(1, 0, (0, 1))]), new CalibrationHistory([Of(1, 0, (0, 1))]));
        Assert.NotEqual(new CalibrationHistory([Of(1, 0, (0, 1))]), CalibrationHistory.Empty);
    }

    private static Calibration Of(int version, double fromSeconds, params (double Indicated, double Reference)[] points) =>
        new([.. points.Select(point => new CalibrationPoint(point.Indicated, point.Reference))])
        {
            Version = version,
            ValidFrom = Start.AddSeconds(fromSeconds),
        };

    private static CellConverter Converter(CalibrationHistory history) => new(TestCell.Of(Channel(
        "tc", new ChannelConversion { Unit = MeasuredUnit.DegreeCelsius, Calibrations = history })));

    private static Reading ConvertOne(CellConverter converter, double seconds, double raw)
    {
        Reading[] readings = new Reading[1];
        converter.Convert(Scan(seconds, raw), readings);
        return readings[0];
    }
}
