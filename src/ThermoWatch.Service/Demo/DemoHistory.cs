using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Simulator;

namespace ThermoWatch.Service.Demo;

/// <summary>
/// The demo's past: the same machine that the demo then reads over the wire, lived through from its first run.
/// The numbers are those that its registers would have held, so the record cannot tell the difference.
/// </summary>
internal static class DemoHistory
{
    /// <summary>Scans of the machine from a moment of its life to another, one a sample of its instruments.</summary>
    /// <param name="options">The machine.</param>
    /// <param name="born">Moment at which its machine time was zero.</param>
    /// <param name="from">First moment wanted.</param>
    /// <param name="until">First moment not wanted.</param>
    public static IEnumerable<ScanInput> Scans(SimulatorOptions options, Timestamp born, Timestamp from, Func<Timestamp> until)
    {
        var cell = new SimulatedCell(options);
        for (Timestamp time = from; time < until(); time += SimulatedCell.SamplePeriod)
        {
            cell.AdvanceTo(time - born);
            yield return new ScanInput(Scan(time, cell.Instruments));
        }
    }

    private static RawScan Scan(Timestamp time, InstrumentFrame frame)
    {
        var values = new double[frame.Values.Length];
        for (int i = 0; i < values.Length; i++)
        {
            values[i] = frame.Values[i];
        }

        return new RawScan(0, time, values, new SignalQuality[values.Length]);
    }
}
