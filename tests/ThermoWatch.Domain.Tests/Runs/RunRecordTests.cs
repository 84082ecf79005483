using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Tests.Runs;

public sealed class RunRecordTests
{
    [Fact]
    public void An_edit_changes_only_what_it_names_and_says_what_that_was()
    {
        RunRecord before = new() { Product = "Inverter stage", Serials = ["A1", "A2"], Load = 2 };
        (RunRecord after, var changes) = new RunRecordEdit { Serials = ["A1", " A3 "], Operator = "Ines" }.ApplyTo(before);
        Assert.Equal("Inverter stage", after.Product);
        Assert.Equal(["A1", "A3"], after.Serials);
        Assert.Equal(2, after.Load);
        Assert.Equal([new FieldChange("serials", "A1; A2", "A1; A3"), new FieldChange("operator", null, "Ines")], changes);
    }

    [Fact]
    public void An_empty_text_clears_a_field_and_the_same_words_change_nothing()
    {
        RunRecord before = new() { Product = "Inverter stage", PasteLot = "L7" };
        (RunRecord after, var changes) = new RunRecordEdit { Product = "", PasteLot = "L7" }.ApplyTo(before);
        Assert.Null(after.Product);
        Assert.Equal([new FieldChange("product", "Inverter stage", null)], changes);
    }

    [Fact]
    public void Every_field_of_the_record_can_be_edited_and_is_audited()
    {
        var edit = new RunRecordEdit
        {
            Product = "p",
            Serials = ["s"],
            Position = "front",
            Load = 4,
            Recipe = 12,
            PasteLot = "l",
            PasteOpened = new Timestamp(1),
            FloorLifeEnds = new Timestamp(2),
            Operator = "o",
            Sensors = [new SensorPlacement("tc1", "U3 centre ball", "high-melting solder", "C-77")],
            Remarks = "r",
        };
        (RunRecord after, var changes) = edit.ApplyTo(RunRecord.Empty);
        Assert.Equal(typeof(RunRecord).GetProperties().Length - 1, changes.Length); // all but Empty
        Assert.NotEqual(RunRecord.Empty, after);
        Assert.Equal("tc1: U3 centre ball, high-melting solder, C-77", changes.Single(c => c.Field == "sensors").To);
        Assert.Empty(edit.Problems());
    }

    [Fact]
    public void What_is_wrong_with_an_edit_is_listed_at_once()
    {
        var edit = new RunRecordEdit
        {
            Load = -1,
            Recipe = -2,
            Serials = ["A1", "A1 ", ""],
            Product = new string('x', 3000),
            Sensors = [new SensorPlacement("tc1", "a", "b"), new SensorPlacement("tc1", "c", "d")],
        };
        Assert.Equal(
            [
                "product: 3000 characters; give at most 2000.",
                "load: -1 boards; give 0 to 1000.",
                "recipe: -2; recipe numbers begin at 0.",
                "serials: \"A1\" stands there twice; a board is in a run once.",
                "serials: one of them is empty; leave it out.",
                "sensors: channel tc1 stands there twice; say once how it sits.",
            ],
            edit.Problems());
    }

    [Fact]
    public void A_decision_needs_a_name_and_a_reason_and_an_inspection_its_joints()
    {
        var decision = new Decision(new Timestamp(1), DecisionKind.Inspect, " ", "");
        Assert.Equal(["by", "reason", "what"], decision.Missing().Select(m => m[..m.IndexOf(':', StringComparison.Ordinal)]));
        Assert.Empty(new Decision(new Timestamp(1), DecisionKind.Release, "Ines", "like the last thirty").Missing());
    }
}
