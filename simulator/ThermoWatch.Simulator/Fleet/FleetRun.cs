using ThermoWatch.Simulator.Faults;

namespace ThermoWatch.Simulator.Fleet;

/// <summary>A run that has been played: what was measured, and what was true.</summary>
/// <param name="Member">Which run.</param>
/// <param name="Rows">Samples from loading to unloading; the first is at 0 s.</param>
/// <param name="Label">What it was, and what went wrong, in seconds of the heating.</param>
/// <param name="Events">What the machine did, and when faults began and ended, s.</param>
public sealed record FleetRun(FleetMember Member, IReadOnlyList<FleetRow> Rows, RunLabel Label, IReadOnlyList<FleetEvent> Events)
{
    private static readonly TimeSpan Longest = TimeSpan.FromMinutes(30);

    /// <summary>Plays a member from the loading of its boards to their unloading.</summary>
    public static FleetRun Play(FleetMember member, TimeSpan period)
    {
        ArgumentNullException.ThrowIfNull(member);
        var cell = new SimulatedCell(new SimulatorOptions { Seed = member.Seed }, member.Scenario);
        RunLabel first = cell.Run;
        RunLabel label = first with { Number = member.Number, Serials = RunLabel.SerialsOf(first.Product, member.Number, first.Boards) };
        List<FleetRow> rows = [];
        List<FleetEvent> events = [];
        MachinePhase phase = MachinePhase.Idle;
        double heatingStarted = 0;
        for (TimeSpan at = TimeSpan.Zero; at < Longest; at += period)
        {
            cell.AdvanceTo(at);
            CellTruth truth = cell.Truth;
            if (truth.RunNumber > 1)
            {
                events.Add(new(at.TotalSeconds, "unloaded"));
                break;
            }

            if (truth.Phase != phase)
            {
                phase = truth.Phase;
                events.Add(new(at.TotalSeconds, Name(phase.ToString())));
                heatingStarted = phase == MachinePhase.Soak ? (at - truth.RunTime).TotalSeconds : heatingStarted;
            }

            rows.Add(new(at.TotalSeconds, cell.Instruments, truth, Wire.CellRegisters.StateOf(cell.Plant) == Wire.LineState.Healthy));
        }

        AddFaults(label.Faults, heatingStarted, rows[^1].Seconds, events);
        return new(member, rows, label, [.. events.OrderBy(e => e.Seconds)]);
    }

    private static void AddFaults(IEnumerable<PlannedFault> faults, double heatingStarted, double end, List<FleetEvent> events)
    {
        foreach (PlannedFault fault in faults)
        {
            double from = Math.Max(0, heatingStarted + fault.AtSeconds), to = heatingStarted + fault.AtSeconds + fault.ForSeconds;
            string name = Name(fault.Kind.ToString());
            events.Add(new(from, "fault began: " + name));
            if (to < end)
            {
                events.Add(new(to, "fault ended: " + name));
            }
        }
    }

    internal static string Name(string pascal) => char.ToLowerInvariant(pascal[0]) + pascal[1..];
}

/// <summary>One sample of a fleet run.</summary>
/// <param name="Seconds">From the loading of the boards.</param>
/// <param name="Measured">What the instruments said.</param>
/// <param name="Truth">What was true.</param>
/// <param name="Arrived">Whether the line brought it; if not, nobody has seen it.</param>
public sealed record FleetRow(double Seconds, InstrumentFrame Measured, CellTruth Truth, bool Arrived);

/// <summary>Something that happened.</summary>
/// <param name="Seconds">From the loading of the boards.</param>
/// <param name="Name">A phase of the machine entered, a fault begun or ended, the boards unloaded.</param>
public sealed record FleetEvent(double Seconds, string Name);
