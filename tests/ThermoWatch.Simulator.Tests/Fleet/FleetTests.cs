using System.Globalization;
using System.Text;
using System.Text.Json;
using ThermoWatch.Simulator.Faults;
using ThermoWatch.Simulator.Fleet;
using ThermoWatch.Simulator.Machines;

namespace ThermoWatch.Simulator.Tests.Fleet;

public class FleetTests
{
    [Fact]
    public void Fleet_is_the_same_to_the_byte_and_begins_like_a_larger_one()
    {
        FleetOptions small = new() { Runs = 2, Seed = 8 }, large = small with { Runs = 2000 };
        FleetRun a = FleetRun.Play(FleetMember.Draw(small, 2), small.Period), b = FleetRun.Play(FleetMember.Draw(large, 2), large.Period);
        Assert.Equal(CurveWriter.Measured(a), CurveWriter.Measured(b));
        Assert.Equal(CurveWriter.True(a), CurveWriter.True(b));
        Assert.Equal(FleetFactory.Labels(small, a), FleetFactory.Labels(large, b));
        Assert.NotEqual(CurveWriter.True(a), CurveWriter.True(FleetRun.Play(FleetMember.Draw(small, 1), small.Period)));
    }

    [Fact]
    public void Fleet_holds_every_family_load_kind_and_fault_in_the_shares_asked_for()
    {
        FleetOptions options = new() { Runs = 2000, FaultShare = 0.4, ProductionShare = 0.3 };
        FleetMember[] members = [.. Enumerable.Range(1, options.Runs).Select(n => FleetMember.Draw(options, n))];
        Assert.Equal(0.4, members.Average(m => m.Scenario.Runs[0].Faults.IsEmpty ? 0 : 1.0), 0.04);
        Assert.Equal(0.3, members.Average(m => m.Scenario.Instrumented ? 0 : 1.0), 0.04);
        Assert.Equal(Enum.GetValues<MachineFamily>(), members.Select(m => m.Scenario.Family).Distinct().Order());
        Assert.Equal([1, 2, 4], members.Select(m => m.Scenario.Boards).Distinct().Order());
        Assert.Equal(FaultDraw.Kinds.Order(), members.SelectMany(m => m.Scenario.Runs[0].Faults).Select(f => f.Kind).Distinct().Order());
    }

    [Theory]
    [InlineData(MachineFamily.ClosedChamber)]
    [InlineData(MachineFamily.TankWithLift)]
    [InlineData(MachineFamily.InLine)]
    public void Good_runs_of_every_family_and_load_are_good(MachineFamily family)
    {
        foreach (int boards in new[] { 1, 2, 4 })
        {
            var scenario = new Simulator.Scenarios.Scenario { Name = "good", Family = family, Boards = boards };
            TrueFigures figures = TrueFigures.Of(FleetRun.Play(new FleetMember(1, 6, scenario), TimeSpan.FromMilliseconds(200)));
            Assert.All(figures.SecondsAboveLiquidus, s => Assert.InRange(s, 45, 80));
            Assert.All(figures.PeakCelsius, c => Assert.InRange(c, 226, 231));
            Assert.InRange(figures.LiquidusSpreadSeconds!.Value, 2, 15);
            Assert.InRange(figures.PumpDownSeconds!.Value, 14, 17);
            Assert.InRange(figures.MoltenAtVentEndKelvin!.Value, 3, 9);
            Assert.Equal(figures.VacuumHoldSeconds, figures.MoltenVacuumSeconds);
        }
    }

    [Fact]
    public void Standing_vapour_dips_under_a_load_and_recovers()
    {
        double Dip(int boards)
        {
            var scenario = new Simulator.Scenarios.Scenario { Name = "dip", Family = MachineFamily.TankWithLift, Boards = boards };
            IReadOnlyList<FleetRow> rows = FleetRun.Play(new FleetMember(1, 6, scenario), TimeSpan.FromMilliseconds(200)).Rows;
            double level = rows.Last(r => r.Truth.Phase == MachinePhase.Soak).Truth.VapourCelsius;
            Assert.Equal(level, rows.Last(r => r.Truth.Phase == MachinePhase.Vapour).Truth.VapourCelsius, 0.2);
            return level - rows.Where(r => r.Truth.Phase == MachinePhase.Vapour).Min(r => r.Truth.VapourCelsius);
        }

        double full = Dip(4), half = Dip(2), quarter = Dip(1);
        Assert.InRange(full, 5, 20);
        Assert.True(full > half && half > quarter && quarter > 0.5, $"{full} {half} {quarter}");
    }

    [Fact]
    public void Files_hold_what_was_measured_what_was_true_and_what_was_wrong()
    {
        FleetOptions options = new() { Runs = 40, Seed = 2 };
        FleetRun run = Enumerable.Range(1, 40).Select(n => FleetMember.Draw(options, n))
            .Where(m => m.Scenario.Instrumented && !m.Scenario.Runs[0].Faults.IsEmpty).Select(m => FleetRun.Play(m, options.Period)).First();
        string[] measured = Encoding.UTF8.GetString(CurveWriter.Measured(run)).Split('\n');
        string[] truth = Encoding.UTF8.GetString(CurveWriter.True(run)).Split('\n');
        Assert.Equal(measured[0], truth[0]);
        Assert.StartsWith("time_s,Board 1 edge [degC] product joint,", truth[0], StringComparison.Ordinal);
        Assert.Equal(run.Rows.Count + 2, truth.Length);
        string[] middle = truth[500].Split(',');
        Assert.Equal(run.Rows[499].Seconds, Reference.Number(middle[0]), 1e-9);
        Assert.Equal(run.Rows[499].Truth.ProductCelsius[7], Reference.Number(middle[8]), 0.0006);
        Assert.Equal(run.Rows[499].Truth.ChamberMbar, Reference.Number(middle[11]), 0.00006);

        using JsonDocument labels = JsonDocument.Parse(FleetFactory.Labels(options, run));
        Assert.Equal(run.Member.Scenario.Runs[0].Faults.Length, labels.RootElement.GetProperty("faults").GetArrayLength());
        Assert.Equal(run.Member.Seed, labels.RootElement.GetProperty("seed").GetInt32());
        JsonElement root = labels.RootElement;
        Assert.Equal(run.Member.Scenario.Boards, root.GetProperty("serials").GetArrayLength());
        Assert.Equal($"TB-6-{(4 * (run.Member.Number - 1)) + 1:00000}", root.GetProperty("serials")[0].GetString());
        Assert.Equal(12, root.GetProperty("recipe").GetInt32());
        Assert.Contains(labels.RootElement.GetProperty("events").EnumerateArray(), e => e.GetProperty("name").GetString() == "soak");
    }

    [Fact]
    public void True_times_stand_where_the_true_curves_cross()
    {
        FleetRun run = FleetRun.Play(new FleetMember(1, 6, new Simulator.Scenarios.Scenario { Name = "good" }), TimeSpan.FromMilliseconds(200));
        TrueFigures figures = TrueFigures.Of(run);
        double At(string name) => run.Events.Single(e => e.Name == name).Seconds;
        Assert.Equal(At("evacuation"), figures.EvacuationSeconds);
        Assert.Equal(At("cooling"), figures.VentEndSeconds);
        Assert.InRange(figures.TargetSeconds!.Value, At("hold") - 0.4, At("hold") + 0.4);
        for (int i = 0; i < SimulatedChannels.ProductCount; i++)
        {
            Assert.Equal(figures.SecondsAboveLiquidus[i], (figures.LiquidusFallingSeconds[i] - figures.LiquidusRisingSeconds[i])!.Value, 0.3);
            Assert.Equal(figures.PeakCelsius[i], run.Rows.Single(r => r.Seconds == figures.PeakSeconds[i]).Truth.ProductCelsius[i]);
        }
    }

    [Fact]
    public async Task Folder_gets_three_files_a_run()
    {
        string folder = Directory.CreateTempSubdirectory("fleet").FullName;
        try
        {
            await FleetFactory.WriteAsync(new FleetOptions { Runs = 3 }, folder, null, TestContext.Current.CancellationToken);
            string[] expected = [.. from n in new[] { 1, 2, 3 } from end in new[] { "csv", "json", "true.csv" } select string.Create(CultureInfo.InvariantCulture, $"run-000{n}.{end}")];
            Assert.Equal(expected.Order(StringComparer.Ordinal), Directory.GetFiles(folder).Select(f => Path.GetFileName(f)).Order(StringComparer.Ordinal));
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }
}
