using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Service.Configuration;

/// <summary>Reads how a cell's runs are found. What is left out is as defined.</summary>
internal static class RulesReader
{
    public static CellRules Read(JsonScope cell)
    {
        var usual = new CellRules();
        if (cell.Object("rules") is not { } rules)
        {
            return usual;
        }

        CellRules read = usual with
        {
            DetectRuns = rules.Has("detectRuns") ? rules.Flag("detectRuns") : usual.DetectRuns,
            StartSlope = rules.Number("startSlope", 0.01, 100, usual.StartSlope),
            StartRise = rules.Number("startRise", 0.1, 1000, usual.StartRise),
            CooledBelow = rules.Number("cooledBelow", -50, 300, usual.CooledBelow),
            FlatSlope = rules.Number("flatSlope", 0.001, 10, usual.FlatSlope),
            NewRise = rules.Number("newRise", 0.1, 1000, usual.NewRise),
            EndAfterVent = TimeSpan.FromSeconds(rules.Number("endAfterVent_s", 0, 3600, usual.EndAfterVent.TotalSeconds)),
            AbandonAfter = TimeSpan.FromSeconds(rules.Number("abandonAfter_s", 60, 86400, usual.AbandonAfter.TotalSeconds)),
            VapourIsHottest = rules.Has("vapourIsHottest") ? rules.Flag("vapourIsHottest") : usual.VapourIsHottest,
            MotionAbove = rules.Has("motionAbove") ? rules.Number("motionAbove", 0, 1e9, null) : null,
            ChamberPosition = rules.Has("chamberPosition") ? rules.Whole("chamberPosition", int.MinValue, int.MaxValue, null) : null,
        };
        rules.NothingElse();
        return read;
    }

    /// <summary>Whether a gauge's error is a factor and not a share of its span.</summary>
    public static bool IsLogarithmic(ChannelDefinition channel) => channel.Role == ChannelRole.Pressure
        && channel.Conversion.Law is AnalogueLaw.Logarithmic or AnalogueLaw.PseudoLogarithmic;
}
