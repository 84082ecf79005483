using ThermoWatch.Domain.Files;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Domain.Specs;

namespace ThermoWatch.Service.Commands.Recalibrate;

/// <summary>A curve file: its values may have been corrected already by whoever wrote it, which it does not say.</summary>
internal sealed class FileHistory(string name, CurveFile file, Spec spec, TimeSpan? gap) : IHistory
{
    public string Name => name;

    public IReadOnlyList<ChannelDefinition> Channels { get; } =
    [
        .. file.Columns.Select(column => new ChannelDefinition
        {
            Id = column.Name,
            Name = column.Name,
            Role = column.Role,
            Place = column.Place,
            Device = "file",
            Point = column.Name,
            Conversion = new ChannelConversion { Unit = column.Unit },
        }),
    ];

    public IReadOnlyList<string> Notes { get; } = ["The calibrations are applied to the values of the file; a correction that is in them already stays in them."];

    public JudgedRun Judge(IReadOnlyDictionary<string, Calibration>? calibrations)
    {
        RecordedRun run = RecordedRun.Judge(file, spec, gap, calibrations);
        var readings = new Dictionary<string, IReadOnlyList<Reading>>();
        foreach (CurveColumn column in file.Columns)
        {
            Calibration? calibration = calibrations?.GetValueOrDefault(column.Name);
            List<Reading> values = [];
            for (int row = 0; row < file.Ticks.Count; row++)
            {
                if (!double.IsNaN(column.Values[row]))
                {
                    var time = new Timestamp(run.Run.Start.UtcTicks + (file.Ticks[row] - file.Ticks[0]));
                    values.Add(new Reading(time, calibration?.Apply(column.Values[row]) ?? column.Values[row], SignalQuality.Good));
                }
            }

            readings[column.Name] = values;
        }

        return new JudgedRun(run.Run, run.Origin, readings);
    }
}
