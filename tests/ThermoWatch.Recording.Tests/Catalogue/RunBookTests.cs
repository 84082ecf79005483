using Microsoft.Extensions.Time.Testing;
using ThermoWatch.Domain.Figures;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Tests.Journal;

namespace ThermoWatch.Recording.Tests.Catalogue;

public sealed class RunBookTests : IDisposable
{
    private readonly TempFolder _folder = new();
    private readonly FakeTimeProvider _time = new();
    private RunCatalogue _catalogue;

    public RunBookTests() => _catalogue = Open();

    private RunBook Book => _catalogue.Book;

    [Fact]
    public void A_record_and_every_change_of_it_outlive_the_program()
    {
        RunRecordEdit scanned = new()
        {
            Product = "Inverter stage",
            Serials = ["A1", "A2"],
            PasteOpened = Sample.Noon,
            Sensors = [new SensorPlacement("tc1", "U3 centre ball", "high-melting solder", "C-77")],
        };
        Book.Edit(1, 7, scanned, Sample.Noon, "scanner", null);
        Book.Edit(1, 7, new RunRecordEdit { Serials = ["A1"] }, Sample.Noon.AddSeconds(60), "Ines", "A2 was not on the carrier");
        Book.Edit(1, 7, new RunRecordEdit { Serials = ["A1"] }, Sample.Noon.AddSeconds(90), "Ines", "again");
        _catalogue.Dispose();
        _catalogue = Open();

        RunRecord record = Book.Record(1, 7);
        Assert.Equal(scanned.ApplyTo(RunRecord.Empty).Record with { Serials = ["A1"] }, record);
        IReadOnlyList<RunChange> changes = Book.Changes(1, 7);
        Assert.Equal(["scanner", "Ines"], changes.Select(c => c.By)); // what changed nothing is no change
        Assert.Equal("A2 was not on the carrier", changes[1].Reason);
        Assert.Equal([new FieldChange("serials", "A1; A2", "A1")], changes[1].Changes);
        Assert.Equal(RunRecord.Empty, Book.Record(1, 8));
        Assert.Equal([7L], Book.Records(1, [6, 7, 8]).Keys);
    }

    [Fact]
    public void A_lost_catalogue_is_made_again_with_everything_that_people_said()
    {
        Decision hold = new(Sample.Noon, DecisionKind.Hold, "Ines", "too long above liquidus");
        ServiceEntry oil = new(Sample.Noon, ServiceKind.Oil, "Jon", "changed", 500, "O-3");
        Book.Edit(1, 7, new RunRecordEdit { Product = "Inverter stage", Serials = ["A1"] }, Sample.Noon, "scanner", null);
        Book.Decide(1, 7, hold);
        Book.ReleaseAsReference(1, 6, Sample.Noon, "Ines", "first article");
        Book.WithdrawReference(1, 6, Sample.Noon.AddSeconds(9), "Jon", "sensor");
        Book.AddService(1, oil);
        RunRecord record = Book.Record(1, 7);
        var references = Book.References(1);
        _catalogue.Dispose();
        foreach (string file in Directory.GetFiles(_folder["."], "thermowatch.sqlite*"))
        {
            File.Delete(file);
        }

        _catalogue = Open();
        Assert.Equal(record, Book.Record(1, 7));
        Assert.Equal("scanner", Assert.Single(Book.Changes(1, 7)).By);
        Assert.Equal([hold], Book.Decisions(1, 7));
        Assert.Equal(references, Book.References(1));
        Assert.Equal(oil, Assert.Single(Book.ServiceLog(1)).Entry);
        Assert.Equal([(1, 7L)], Book.PassesOf("A1"));
    }

    [Fact]
    public void Heating_passes_of_a_board_are_counted_over_all_runs_and_cells()
    {
        _catalogue.Save(RunCatalogueTests.Run(2));
        _catalogue.Save(RunCatalogueTests.Run(1) with { Cell = 2 });
        Book.Edit(1, 2, new RunRecordEdit { Serials = ["A1", "A2"] }, Sample.Noon, "scanner", null);
        Book.Edit(2, 1, new RunRecordEdit { Serials = ["A1"] }, Sample.Noon, "scanner", null);
        Assert.Equal([(2, 1L), (1, 2L)], Book.PassesOf("A1"));
        Assert.Equal([(1, 2L)], Book.PassesOf("A2"));
        Book.Edit(1, 2, new RunRecordEdit { Serials = ["A2"] }, Sample.Noon, "Ines", "misread");
        Assert.Equal([(2, 1L)], Book.PassesOf("A1"));
    }

    [Fact]
    public void The_last_decision_stands_and_the_earlier_ones_stay()
    {
        Decision hold = new(Sample.Noon, DecisionKind.Hold, "Ines", "too long above liquidus");
        Decision inspect = new(Sample.Noon.AddSeconds(600), DecisionKind.Inspect, "Jon", "looks good, look closer", "NC-12", "U3 on both boards");
        Book.Decide(1, 7, hold);
        Book.Decide(1, 7, inspect);
        Assert.Equal([hold, inspect], Book.Decisions(1, 7));
        Assert.Equal(inspect, Book.Standing(1, [6, 7])[7]);
        Assert.Single(Book.Standing(1, [6, 7]));
    }

    [Fact]
    public void Runs_wait_for_a_person_until_something_final_is_decided()
    {
        for (long number = 1; number <= 6; number++)
        {
            _catalogue.Save(RunCatalogueTests.Run(number) with { Verdict = number == 1 ? Verdict.Pass : Verdict.Fail });
        }

        _catalogue.Save(RunCatalogueTests.Run(7) with { End = null, Verdict = null });
        Book.Decide(1, 2, new Decision(Sample.Noon, DecisionKind.Release, "Ines", "customer agrees"));
        Book.Decide(1, 3, new Decision(Sample.Noon, DecisionKind.Hold, "Ines", "waits"));
        Book.Decide(1, 4, new Decision(Sample.Noon, DecisionKind.Hold, "Ines", "waits"));
        Book.Decide(1, 4, new Decision(Sample.Noon, DecisionKind.Scrap, "Ines", "burnt"));
        Assert.Equal([6, 5, 3], Found(new RunQuery(1) { Open = true }));
        Assert.Equal([4], Found(new RunQuery(1) { Decision = DecisionKind.Scrap }));
    }

    [Fact]
    public void Runs_are_found_by_product_and_by_board()
    {
        for (long number = 1; number <= 3; number++)
        {
            _catalogue.Save(RunCatalogueTests.Run(number));
        }

        Book.Edit(1, 2, new RunRecordEdit { Product = "Inverter stage", Serials = ["A1"] }, Sample.Noon, "scanner", null);
        Book.Edit(1, 3, new RunRecordEdit { Product = "Gate driver", Serials = ["A1", "B1"] }, Sample.Noon, "scanner", null);
        Assert.Equal([2], Found(new RunQuery(1) { ProductContains = "STAGE" }));
        Assert.Equal([3, 2], Found(new RunQuery(1) { Serial = "A1" }));
        Assert.Equal([3], Found(new RunQuery(1) { Serial = "B1" }));
        Assert.Empty(Found(new RunQuery(1) { Serial = "B" }));
    }

    [Fact]
    public void A_reference_is_released_once_and_can_be_withdrawn_and_released_again()
    {
        Book.ReleaseAsReference(1, 7, Sample.Noon, "Ines", "first article");
        Book.ReleaseAsReference(1, 7, Sample.Noon.AddSeconds(1), "Jon", "again");
        Assert.Single(Book.References(1));
        Book.WithdrawReference(1, 7, Sample.Noon.AddSeconds(2), "Jon", "sensor was off");
        Book.ReleaseAsReference(1, 7, Sample.Noon.AddSeconds(3), "Ines", "checked");
        Assert.Equal(
            [
                new ReferenceRelease(7, Sample.Noon, "Ines", "first article", Sample.Noon.AddSeconds(2), "Jon", "sensor was off"),
                new ReferenceRelease(7, Sample.Noon.AddSeconds(3), "Ines", "checked"),
            ],
            Book.References(1));
    }

    [Fact]
    public void The_service_log_comes_in_the_order_of_the_work()
    {
        ServiceEntry late = new(Sample.Noon.AddSeconds(60), ServiceKind.Fluid, "Jon", "topped up", 350, "F-9");
        ServiceEntry early = new(Sample.Noon, ServiceKind.Oil, "Jon", "changed");
        Book.AddService(1, late);
        Book.AddService(1, early);
        Book.AddService(2, early);
        Assert.Equal([early, late], Book.ServiceLog(1).Select(l => l.Entry));
    }

    public void Dispose()
    {
        _catalogue.Dispose();
        _folder.Dispose();
    }

    private long[] Found(RunQuery query) => [.. _catalogue.Search(query).Select(run => run.Number)];

    private RunCatalogue Open() => RunCatalogue.Open(_folder["thermowatch.sqlite"], _time);
}
