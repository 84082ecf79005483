using System.Text;
using ThermoWatch.Domain.Alarms;
using ThermoWatch.Domain.Alarms.Conditions;
using ThermoWatch.Domain.Alarms.Words;
using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Tests;

namespace ThermoWatch.Domain.Tests.Alarms;

/// <summary>All that alarms can say, with numbers as they occur, in a file to read: whoever changes a word sees what comes of it.</summary>
/// <remarks>After a change that is meant: run with THERMOWATCH_APPROVE=1, and read the file before it is kept.</remarks>
public class AlarmListingTests
{
    private static readonly string s_file = Path.Combine(Repository.Root, "tests", "ThermoWatch.Domain.Tests", "Alarms", "alarms.approved.txt");
    private static readonly Timestamp s_now = SimulatedRuns.Epoch;

    private static readonly CellDefinition s_cell = new()
    {
        Number = 1,
        Name = "Cell 1",
        Carriers = ["A", "B"],
        Devices = [new DeviceDefinition("amp", "Thermocouple amplifier", TimeSpan.FromSeconds(0.1), ["p"])],
        Channels =
        [
            Channel("tc1", "Heatsink corner", ChannelRole.Product, MeasuredUnit.DegreeCelsius), Channel("vapour", "Vapour", ChannelRole.Vapour, MeasuredUnit.DegreeCelsius),
            Channel("gauge", "Chamber", ChannelRole.Pressure, MeasuredUnit.Millibar), Channel("cj", "Terminal block", ChannelRole.ColdJunction, MeasuredUnit.DegreeCelsius),
            Channel("sump", "Sump", ChannelRole.Sump, MeasuredUnit.DegreeCelsius), Channel("shake", "Motion of the lift", ChannelRole.Motion, MeasuredUnit.One),
        ],
        Alarms = new AlarmRules { Process = ProcessControl.Open, Actions = [new MachineAction("VENT NOW", ActionEffect.EndHold, TimeSpan.FromSeconds(3), ["hold"])] },
    };

    private static ChannelDefinition Channel(string id, string name, ChannelRole role, MeasuredUnit unit) => new()
    {
        Id = id,
        Name = name,
        Role = role,
        Carrier = role == ChannelRole.Product ? "A" : null,
        Device = "amp",
        Point = "p",
        Conversion = new ChannelConversion { Unit = unit },
    };

    private static readonly (AlarmPicture Alarm, AlarmSource? Source)[] s_alarms =
    [
        (Alarm("tooHot/tc1", 251.34, 250, "peakTemperature", AlarmPriority.High), null),
        (Alarm("tooHot/tc1/vapour", 236.2, 233, null, AlarmPriority.High), null),
        (Alarm("timeAboveLiquidus/tc1", 90.2, 90, "timeAboveLiquidus", AlarmPriority.High) with { Deadline = s_now.AddSeconds(21) }, null),
        (Alarm("coldAtEvacuation/A", -3.21, 0, "moltenAtEvacuation", channel: "tc1"), null),
        (Alarm("coldAtEvacuation/A", 1.4, 3, "moltenAtEvacuation", channel: "tc1"), null),
        (Alarm("slowPumpDown/A", 23.4, 20, "pumpDownTime"), null),
        (Alarm("basePressure/A", 12.6, 5, "lowestPressure"), null),
        (Alarm("basePressure/A", 0.0042, 0.002, "lowestPressure"), null),
        (Alarm("freezeUnderVacuum/A", -1.52, 0, "moltenAtVentEnd", AlarmPriority.High, "tc1"), null),
        (Alarm("pressureLost/gauge", 9.81, 7.5, null, AlarmPriority.High), null),
        (Alarm("evacuationRate/A", 0.41, 0.3, "steepestEvacuation"), null),
        (Alarm("ventRate/A", 412, 300, "steepestVent"), null),
        (Alarm("ventRate/A", 2.1, 4, "ventTime"), null),
        (Alarm("soakMissed/A", 44.6, 60, "soakTime", channel: "tc1"), null),
        (Alarm("plateauOff/vapour", -2.83, -2, null, AlarmPriority.Low), null),
        (Alarm("movedWhileLiquid/shake", 0.8, 0.5), null),
        (Alarm("offReference/A", 6.4, 0, channel: "tc1"), null),
        (Alarm("unexpectedVacuum/A", 1, 2, "evacuations"), null),
        (Alarm("unexpectedVacuum/A", null, null, "evacuations"), null),
        (Alarm("wrongRecipe/A", 14, 12, null, AlarmPriority.High), null),
        (Alarm("cycleStopped/A", 47.2, 31.8, null, AlarmPriority.High) with { Deadline = s_now.AddSeconds(40) }, null),
        (Alarm("fluidOverheat/sump", 291.6, 290, null, AlarmPriority.High), null),
        (Alarm("limit/A/coolingRate", 5.23, 4, "coolingRate", channel: "tc1"), null),
        (Alarm("limit/A/vacuumHold", 6.1, 10, "vacuumHold"), null),
        (Alarm("limit/A/coolingRate", null, 4, "coolingRate", channel: "tc1"), null),
        (Alarm("coldJunction/cj", 131, 125), null),
        (Alarm("coldJunction/cj", null, null), null),
        (Alarm("deviceSilent/amp", null, null, null, AlarmPriority.High), null),
        (Alarm("recording/cell", null, null, null, AlarmPriority.High), null),
        (Alarm("feed/cell", 7270, 60, null, AlarmPriority.Low), AlarmSource.Of("historian")),
        (Alarm("feed/cell", 93, 60, null, AlarmPriority.Low), null),
        (Alarm("feedRejected/cell", 93, null, null, AlarmPriority.Low), AlarmSource.Of("historian", "field type conflict")),
        (Alarm("feedRejected/cell", 1, null, null, AlarmPriority.Low), AlarmSource.Of("historian")),
        (Alarm("feedRejected/cell", 1, null, null, AlarmPriority.Low), null),
        (Alarm("clock/cell", -3600, null, null, AlarmPriority.Low), null),
        (Alarm("calibrationDue/tc1", 12, null, null, AlarmPriority.Low), null),
        (Alarm("verificationDue/cell", 215, 200, null, AlarmPriority.Low), null),
        (Alarm("verificationDue/cell", null, null, null, AlarmPriority.Low), AlarmSource.OfAge(TimeSpan.FromDays(41.5), TimeSpan.FromDays(30))),
        (Alarm("verificationDue/cell", null, null, null, AlarmPriority.Low), AlarmSource.OfWork(ServiceKind.Fluid)),
        (Alarm("verificationDue/cell", null, null, null, AlarmPriority.Low), null),
    ];

    private static AlarmPicture Alarm(
        string id, double? value, double? limit, string? figure = null, AlarmPriority priority = AlarmPriority.Medium, string? channel = null)
    {
        string[] parts = id.Split('/', 2);
        string first = parts[1].Split('/')[0];
        return new(id, parts[0], channel ?? (s_cell.Channels.Any(c => c.Id == first) ? first : null), AlarmState.Unacknowledged, s_now, value, limit)
        {
            Place = parts[1],
            Holds = true,
            Priority = priority,
            Figure = figure,
        };
    }

    [Fact]
    public void What_alarms_say_is_what_has_been_read_and_approved()
    {
        StringBuilder all = new();
        foreach (AlarmLanguage language in AlarmLanguage.All)
        {
            foreach ((AlarmPicture alarm, AlarmSource? source) in s_alarms)
            {
                AlarmTelling telling = AlarmTelling.Of(alarm, s_cell, s_now, ["hold"], language, source, "Traction board");
                all.Append(telling.Key).Append(" · ").Append(telling.Where).Append('\n');
                all.AppendJoin("", new[] { telling.What, telling.Consequence, telling.Action, telling.HowLong }.Select(text => $"    {text}\n")).Append('\n');
            }
        }

        string text = all.ToString().Replace('\u00a0', ' ');
        if (Environment.GetEnvironmentVariable("THERMOWATCH_APPROVE") == "1")
        {
            File.WriteAllText(s_file, text);
        }

        Assert.Equal(File.ReadAllText(s_file).ReplaceLineEndings("\n"), text);
    }

    [Fact]
    public void The_list_has_every_condition_and_every_variant() => Assert.Equal(
        AlarmTexts.English.Keys.Order(StringComparer.Ordinal),
        s_alarms.Select(a => AlarmTelling.Of(a.Alarm, s_cell, s_now, [], null, a.Source).Key).Distinct().Order(StringComparer.Ordinal));

    [Fact]
    public void Every_condition_of_the_list_is_watched() => Assert.Equal(
        ConditionList.Names.Order(StringComparer.Ordinal), s_alarms.Select(a => a.Alarm.Condition).Distinct().Order(StringComparer.Ordinal));
}
