using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Tests.Runs;

public class VerificationRuleTests
{
    private static readonly Timestamp s_last = Timestamp.From(new DateTimeOffset(2026, 3, 2, 6, 0, 0, TimeSpan.Zero));
    private static readonly VerificationRule s_rule = new() { Runs = 200, Age = TimeSpan.FromDays(30) };

    private static ServiceEntry Work(ServiceKind kind, double day) => new(s_last.AddSeconds(86400 * day), kind, "Jon", "");

    private static VerificationDue Look(double day, int runs, params ServiceEntry[] log) => s_rule.Look(s_last.AddSeconds(86400 * day), s_last, runs, log);

    [Fact]
    public void It_is_due_after_so_many_runs_and_says_how_many()
    {
        Assert.Equal(new VerificationDue(false), Look(1, 199));
        Assert.Equal(new VerificationDue(true, 200, 200), Look(1, 200));
    }

    [Fact]
    public void It_is_due_after_so_many_days()
    {
        Assert.False(Look(29.9, 3).Due);
        Assert.Equal(new VerificationDue(true) { Old = (TimeSpan.FromDays(31), TimeSpan.FromDays(30)) }, Look(31, 3));
    }

    [Fact]
    public void It_is_due_after_work_that_touches_the_process_and_not_after_other_or_earlier_work()
    {
        Assert.Equal(new VerificationDue(true) { Work = ServiceKind.Fluid }, Look(2, 3, Work(ServiceKind.Fluid, 1)));
        Assert.Equal(ServiceKind.Seal, Look(4, 3, Work(ServiceKind.Fluid, 1), Work(ServiceKind.Seal, 3), Work(ServiceKind.Gauge, 2)).Work); // the newest
        Assert.False(Look(2, 3, Work(ServiceKind.Oil, 1)).Due);
        Assert.False(Look(2, 3, Work(ServiceKind.Fluid, -1)).Due);
        Assert.False(Look(2, 3, Work(ServiceKind.Fluid, 3)).Due); // not done yet
    }

    [Fact]
    public void Nothing_is_due_where_nothing_was_asked_for() =>
        Assert.False(new VerificationRule { After = [] }.Look(s_last.AddSeconds(1e8), s_last, 100_000, [Work(ServiceKind.Fluid, 1)]).Due);
}
