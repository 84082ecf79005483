namespace ThermoWatch.Domain.Specs;

/// <summary>What a spec may not say about its vacuum.</summary>
internal static class VacuumRules
{
    private const string Void = "void";

    public static void Check(Spec spec, IReadOnlyList<string> paths, List<SpecFault> faults)
    {
        if (spec.Vacuum is not { } vacuum)
        {
            return;
        }

        int steps = vacuum.Steps.Count(s => s.Purpose == Void);
        double deepest = vacuum.VoidTargetMillibar;
        for (int i = 0; i < spec.Limits.Length; i++)
        {
            Limit limit = spec.Limits[i];
            string name = SpecRules.NameOf(limit, paths[i]);
            if (limit.Figure == "lowestPressure" && limit.Lower > deepest)
            {
                faults.Add(new($"{paths[i]}.lower",
                    SpecRules.Text($"The pressure may not fall below {limit.Lower} mbar by {name}, but must reach {deepest} mbar by $.vacuum."),
                    "Lower the limit, or raise the target."));
            }

            if (limit.Figure == "evacuations" && !vacuum.Steps.IsEmpty && (limit.Lower > steps || limit.Upper < steps))
            {
                faults.Add(new(paths[i],
                    SpecRules.Text($"The number of void steps is limited by {name}, but $.vacuum.steps asks for {steps}."), "Correct one of the two."));
            }

            if (limit.Figure != "evacuations" && !vacuum.Steps.IsEmpty && steps == 0
                && Figures.FigureCatalog.Find(limit.Figure) is { Scope: Figures.FigureScope.Vacuum })
            {
                faults.Add(new(paths[i], SpecRules.Text($"{limit.Figure} belongs to void steps by {name}, but $.vacuum.steps has none."), "Add a step with the purpose void, or delete the limit."));
            }
        }
    }
}
